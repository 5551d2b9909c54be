"""What an author sees while writing: each save is drawn and checked, and a broken one takes nothing away."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from trainer.cli import command, preview
from trainer.drawing import VIEWS
from trainer.procedure import library

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from trainer.procedure.model import Module

TEXT = library.find("piston-valve-overhaul").read_text(encoding="utf-8")


def _section(module: Module) -> str:
    return VIEWS["section"].draw(module, "DN 80", 360)


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    """A procedure of an author's own."""
    path = tmp_path / "mine.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_a_sound_file_is_drawn_and_nothing_is_to_mend(mine: Path) -> None:
    svg, told = preview.look(mine, _section)
    assert svg.startswith("<svg")
    assert told == ()


@pytest.mark.parametrize(
    ("before", "after", "said", "drawn"),
    [
        ("    material: clear plastic", "    materiel: clear plastic", "materiel", True),
        ("    rests_on: guide_sleeve", "    rests_on: guide_sleev", "guide_sleev", True),
        ("shapes:\n", "shapes: [\n", "yaml", False),
        ("\nparts:", "\nprats:", "prats", True),
    ],
)
def test_what_is_wrong_is_told_with_its_place(
    mine: Path, before: str, after: str, said: str, *, drawn: bool
) -> None:
    assert before in TEXT
    mine.write_text(TEXT.replace(before, after, 1), encoding="utf-8")
    svg, told = preview.look(mine, _section)
    assert bool(svg) is drawn
    assert any(said in line for line in told)
    assert told[0].startswith(f"{mine}:")
    assert len(told) <= preview.MOST_TOLD + 2


@pytest.mark.parametrize(
    "text", ["", "just a sentence", "parts: [", "- a\n- b\n", "\x00\x01", "module: {a: {b: {}}}"]
)
def test_whatever_stands_in_the_file_is_a_sentence_and_no_traceback(mine: Path, text: str) -> None:
    mine.write_text(text, encoding="utf-8")
    svg, told = preview.look(mine, _section)
    assert svg == ""
    assert told


def test_a_shape_that_breaks_the_drawing_is_told_too(mine: Path) -> None:
    def broken(_: Module) -> str:
        raise ZeroDivisionError("division by zero")

    svg, told = preview.look(mine, broken)
    assert svg == ""
    assert told == ("This cannot be drawn yet (division by zero).",)


def test_each_save_is_seen_once_also_when_the_file_was_away(mine: Path) -> None:
    saves = preview.saves(mine)
    next(saves)
    os.utime(mine, ns=(1, 1))
    next(saves)
    away = mine.with_suffix(".away")
    mine.rename(away)
    away.rename(mine)
    os.utime(mine, ns=(2, 2))
    next(saves)


def _script(mine: Path, *edits: str) -> Callable[[Path], Iterator[None]]:
    def saves(_: Path) -> Iterator[None]:
        for text in edits:
            mine.write_text(text, encoding="utf-8")
            yield

    return saves


def test_a_broken_save_keeps_the_last_drawing(mine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = mine.with_name("preview.svg")
    thinner = TEXT.replace("    material: clear plastic", "    material: bronze", 1)
    seen: list[bytes] = []
    monkeypatch.setattr(preview, "saves", _script(mine, TEXT, thinner, "parts: [broken"))
    really = preview.write

    def write(path: Path, text: str) -> None:
        seen.append(text.encode())
        really(path, text)

    monkeypatch.setattr(preview, "write", write)
    result = CliRunner().invoke(command, ["draw", str(mine), "--width", "360", "--watch", "--out", str(out)])
    assert result.exit_code == 0
    assert result.stdout.splitlines()[-1] == f"Not drawn; {out} still shows the last drawing."
    assert result.stdout.count("Nothing to mend.") == 2
    assert "mine.yaml:2:1: error [yaml]" in result.stderr
    assert len(seen) == 2
    assert seen[0] != seen[1]
    assert out.read_bytes() == seen[1]


def test_the_page_holds_the_last_drawing_and_what_is_wrong_now(
    mine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = mine.with_name("preview.html")
    monkeypatch.setattr(preview, "saves", _script(mine, TEXT, "parts: [broken"))
    CliRunner().invoke(command, ["draw", str(mine), "--width", "360", "--watch", "--out", str(out)])
    text = out.read_text(encoding="utf-8")
    assert "<svg" in text
    assert "<ol><li>" in text
    assert 'http-equiv="refresh"' in text
    assert not list(out.parent.glob(".*.half"))
