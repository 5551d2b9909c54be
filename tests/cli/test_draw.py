"""`trainer draw`: a file that stands alone, a bare one, options by view, sentences for what is missing."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from trainer.cli import command
from trainer.drawing import VIEWS

if TYPE_CHECKING:
    from pathlib import Path

    from click.testing import Result

VALVE = "piston-valve-overhaul"


def draw(*arguments: str) -> Result:
    return CliRunner().invoke(command, ["draw", *arguments])


def test_the_list_names_every_view() -> None:
    result = draw("--list")
    assert result.exit_code == 0
    for name, view in VIEWS.items():
        assert f"{name}: {view.TITLE}" in result.stdout


def test_a_file_stands_alone_and_a_bare_one_has_no_style(tmp_path: Path) -> None:
    for extra, styled in (((), True), (("--bare",), False)):
        out = tmp_path / "section.svg"
        result = draw(VALVE, "--size", "DN 80", "--width", "360", "--out", str(out), *extra)
        assert (result.exit_code, result.stdout) == (0, f"Wrote {out}.\n")
        text = out.read_text(encoding="utf-8")
        assert ("<style>" in text) is styled
        assert ("--paper" in text) is styled
        ElementTree.fromstring(text)  # noqa: S314 - our own drawing


@pytest.mark.parametrize(
    "options",
    [
        ("--view", "state", "--after", "cover_off"),
        ("--view", "thumbnail", "--step", "cover_off"),
        ("--view", "detail", "--part", "piston_oring", "--part", "wear_band"),
        ("--view", "way_round", "--part", "seat_ring", "--wrong", "seat_ring"),
        ("--view", "incident", "--step", "nuts_off"),
        ("--view", "incident", "--step", "nuts_off", "--after", "shut_inlet"),
        ("--view", "section", "--half"),
        ("--view", "exploded",),
        ("--view", "bolts", "--part", "nuts", "--pattern"),
        ("--view", "castle_nut", "--past", "20"),
        ("--view", "castle_nut", "--pinned"),
        ("--view", "lifting", "--part", "body", "--angle", "30", "--reference", "vertical", "--load"),
        ("--view", "lifting", "--part", "cover"),
    ],
)  # fmt: skip
def test_each_view_takes_its_options(options: tuple[str, ...], tmp_path: Path) -> None:
    out = tmp_path / "picture.svg"
    result = draw(VALVE, *options, "--out", str(out))
    assert result.exit_code == 0, result.output
    assert out.stat().st_size > 2000


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((VALVE,), "--out"),
        (("--out", "x.svg"), "Name a module"),
        ((VALVE, "--view", "cutaway", "--out", "x.svg"), "cutaway"),
        ((VALVE, "--view", "way_round", "--out", "x.svg"), "needs --part"),
        ((VALVE, "--view", "thumbnail", "--out", "x.svg"), "needs --step"),
        ((VALVE, "--view", "detail", "--out", "x.svg"), "needs --part"),
        ((VALVE, "--view", "exploded", "--half", "--out", "x.svg"), "takes no --half"),
        ((VALVE, "--view", "bolts", "--part", "gland_nut", "--out", "x.svg"), "gland_nut"),
        ((VALVE, "--view", "bolts", "--wrong", "nuts", "--out", "x.svg"), "takes no --wrong"),
        ((VALVE, "--view", "castle_nut", "--part", "nuts", "--out", "x.svg"), "castle"),
        ((VALVE, "--view", "lifting", "--part", "body", "--angle", "20", "--out", "x.svg"), "too flat"),
        ((VALVE, "--view", "lifting", "--part", "cotter_pin", "--out", "x.svg"), "cotter_pin"),
        ((VALVE, "--view", "defect", "--part", "cover", "--out", "x.svg"), "cover"),
        (
            (VALVE, "--view", "defect", "--part", "seat_ring", "--damage", "galled", "--out", "x.svg"),
            "galled",
        ),
        ((VALVE, "--view", "section", "--damage", "nick", "--out", "x.svg"), "takes no --damage"),
        ((VALVE, "--view", "state", "--after", "nothing", "--out", "x.svg"), "nothing"),
        (
            (VALVE, "--view", "incident", "--step", "nuts_off", "--after", "mark", "--out", "x.svg"),
            "lets nothing loose",
        ),
        ((VALVE, "--size", "DN 7", "--out", "x.svg"), "DN 7"),
        (("no-such", "--out", "x.svg"), "no-such"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence(
    options: tuple[str, ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = draw(*options)
    assert result.exit_code == 2
    assert result.stderr.startswith("trainer: ")
    assert said in result.stderr
    assert result.stderr.count("\n") == 1


def test_a_part_as_found_is_drawn_by_form_damage_and_seed(tmp_path: Path) -> None:
    drawn = []
    for seed in ("1", "2"):
        out = tmp_path / f"{seed}.svg"
        chosen = ("--form", "o_ring", "--damage", "blister", "--seed", seed, "--named")
        result = draw(VALVE, "--view", "defect", *chosen, "--width", "400", "--out", str(out))
        assert result.exit_code == 0, result.output
        drawn.append(out.read_text(encoding="utf-8"))
    assert drawn[0] != drawn[1]
    assert all("a blister" in svg for svg in drawn)


def test_a_station_is_drawn_after_a_step_or_in_a_line_up(tmp_path: Path) -> None:
    out = tmp_path / "station.svg"
    for options in (("--after", "vent_in"), ("--open", "hv_101", "--open", "ss_103"), ()):
        result = draw("station-run-service", "--view", "station", *options, "--out", str(out))
        assert result.exit_code == 0, result.output
        assert "HV-101" in out.read_text(encoding="utf-8")
    result = draw("station-run-service", "--view", "station", "--open", "pg_121", "--out", str(out))
    assert result.exit_code == 2
    assert "nothing to move named 'pg_121'" in result.output
    result = draw(VALVE, "--open", "hv_101", "--out", str(out))
    assert "takes no --" in result.output
