"""`trainer people import`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from trainer import settings
from trainer.actions import people, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli import command

if TYPE_CHECKING:
    from pathlib import Path

GOOD = "sign_in_name,name,roles\ndora,Dora Pellmark,technician\n"


@pytest.fixture(autouse=True)
def instance(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAINER_INSTANCE", str(tmp_path))
    monkeypatch.delenv("TRAINER_DATABASE_URL", raising=False)
    upkeep.upgrade(settings.load())


def _run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(command, ["people", "import", *words])
    return result.exit_code, result.output


def _names() -> list[str]:
    with open_database(settings.load()) as db:
        return [person.sign_in_name for person in people.list_people(db, SYSTEM)]


def test_a_dry_run_changes_nothing_and_a_real_one_shows_the_passwords_once(tmp_path: Path) -> None:
    file = tmp_path / "crew.csv"
    file.write_text(GOOD, encoding="utf-8")
    code, said = _run(str(file), "--dry-run")
    assert (code, _names()) == (0, [])
    assert "would be added" in said
    code, said = _run(str(file))
    assert (code, _names()) == (0, ["dora"])
    assert "P-0001   dora             first password " in said
    code, said = _run(str(file))
    assert code == 0
    assert "stays as P-0001" in said
    assert "password" not in said


def test_bad_lines_are_told_and_the_exit_code_is_1(tmp_path: Path) -> None:
    file = tmp_path / "crew.csv"
    file.write_text(GOOD + "evan,Evan,foreman\n", encoding="utf-8")
    code, said = _run(str(file))
    assert (code, _names()) == (1, [])
    assert "crew.csv: line 3, roles: 'foreman' is no role" in said
    assert "Nothing was added." in said
