"""Finding procedures, by path and by name, and reading them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.modules import SMALL_VALVE
from trainer import settings
from trainer.procedure import library
from trainer.procedure.library import FileUnreadable, NoSuchProcedure
from trainer.procedure.model import Caution, Hazard
from trainer.procedure.shared_tables import SharedTables

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A content folder of our own with two procedures."""
    for name in ("small-valve", "big-valve"):
        (tmp_path / f"{name}.yaml").write_text(SMALL_VALVE.replace("small-valve", name), encoding="utf-8")
    (tmp_path / "LANGUAGE.md").write_text("words", encoding="utf-8")
    monkeypatch.setattr(settings, "shipped", lambda _: tmp_path)
    return tmp_path


def test_shipped_procedures_go_by_the_name_of_their_file(content: Path) -> None:
    assert library.shipped_procedures() == {
        "big-valve": content / "big-valve.yaml",
        "small-valve": content / "small-valve.yaml",
    }


def test_every_shipped_procedure_bears_the_name_of_its_file() -> None:
    for name in library.shipped_procedures():
        assert library.load(name).id == name


def test_a_procedure_is_found_by_name_or_by_path(content: Path) -> None:
    assert library.find("big-valve") == content / "big-valve.yaml"
    path = content / "LANGUAGE.md"
    assert library.find(str(path)) == path


@pytest.mark.usefixtures("content")
def test_an_unknown_procedure_is_refused_with_what_there_is() -> None:
    with pytest.raises(NoSuchProcedure) as refused:
        library.find("smal-valve")
    assert str(refused.value) == (
        "There is no procedure 'smal-valve': neither a file nor one of big-valve, small-valve. "
        "Did you mean `small-valve`?"
    )


def test_a_folder_is_no_procedure(content: Path) -> None:
    with pytest.raises(NoSuchProcedure):
        library.find(str(content))


def test_with_nothing_shipped_none_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "shipped", lambda _: tmp_path)
    with pytest.raises(NoSuchProcedure, match="neither a file nor one of none"):
        library.find("valve")


def test_a_loaded_module_names_its_file_in_every_place(content: Path) -> None:
    module = library.load("small-valve")
    assert module.file == str(content / "small-valve.yaml")
    line = SMALL_VALVE[: SMALL_VALVE.index("{id: vent,")].count("\n") + 1
    assert str(module.place("steps", "vent")) == f"{content / 'small-valve.yaml'}:{line}:5"


def test_a_file_that_cannot_be_opened_is_told(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.read_bytes", refuse)
    with pytest.raises(FileUnreadable) as refused:
        library.load("small-valve")
    assert str(refused.value) == f"{content / 'small-valve.yaml'} cannot be read: Permission denied."


@pytest.mark.parametrize(
    "text", ["", "a: [", b"\xff\xfe", "module: [1, {2: 3}]\nparts: 7\nsteps: x\nfacts: [a]\n"]
)
def test_bad_content_gives_a_module_with_problems(text: str | bytes) -> None:
    module = library.read_module(text, "bad.yaml", SharedTables())
    assert module.problems != ()
    assert {finding.place.file for finding in module.problems} == {"bad.yaml"}
    assert (module.id, module.steps, module.parts) == ("", {}, {})


def test_shared_cautions_that_a_module_names_come_with_it() -> None:
    pinch = Caution("pinch", Hazard.CAUTION, "Fingers between parts.")
    tables = SharedTables(cautions={"pinch": pinch, "other": Caution("other", Hazard.NOTICE, "Other.")})
    text = SMALL_VALVE.replace("remove: piston}", "remove: piston, caution: [pinch, nowhere]}")
    module = library.read_module(text, "m.yaml", tables)
    assert list(module.cautions) == ["trapped_gas", "spring", "pinch"]
    assert module.cautions["pinch"] is pinch


def test_the_shipped_tables_are_read_once() -> None:
    assert library.tables() is library.tables()
