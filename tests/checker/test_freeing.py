"""Which steps set an energy free, and so need a caution."""

from __future__ import annotations

from tests.checker.samples import SHARED
from trainer.checker.freeing import freeings
from trainer.procedure.library import read_module

VALVE = """\
facts:
  vented: The body is vented
  proven: The gauge has stood at zero
  line_bled: The line is bled
energies:
  gas: {signal: danger, safe_when: [vented, proven], otherwise: The cover lifts}
  line_gas: {signal: caution, safe_when: line_bled, otherwise: The tube whips}
  chamber_gas: {signal: warning, safe_when: vented, otherwise: The plug flies}
parts:
  body: {fixed: true}
  cover: {rests_on: body, contains: gas}
  cap: {rests_on: cover, contains: gas}
fasteners:
  nuts: {clamp: cover, hand_tight: true}
  plug: {clamp: body, contains: chamber_gas, hand_tight: true}
lines:
  tube: {joins: cover, contains: line_gas}
steps:
  - {id: vent, do: Vent, makes: vented}
  - {id: watch, do: Watch the gauge, needs: vented, prove: proven}
  - {id: bleed, do: Bleed the line and watch it, prove: line_bled}
  - {id: tube_off, do: Take the tube off, disconnect: tube}
  - {id: plug_out, do: Screw the plug out, undo: plug}
  - {id: cap_off, do: Unscrew the cap, remove: cap}
  - {id: nuts_off, do: Undo the nuts, undo: nuts}
  - {id: cover_off, do: Lift the cover, remove: cover}
  - {id: cover_on, do: Lower the cover, install: cover}
"""


def freed() -> dict[str, list[tuple[str, str]]]:
    found: dict[str, list[tuple[str, str]]] = {}
    for freeing in freeings(read_module(VALVE, "valve.yaml", SHARED)):
        found.setdefault(freeing.step.id, []).append((freeing.energy.id, freeing.by))
    return found


def test_venting_frees_and_watching_the_gauge_afterwards_does_not() -> None:
    assert freed()["vent"] == [("gas", "vented"), ("chamber_gas", "vented")]
    assert "watch" not in freed()


def test_a_proof_that_nothing_else_brings_about_frees() -> None:
    assert freed()["bleed"] == [("line_gas", "line_bled")]


def test_undoing_what_clamps_is_the_moment_and_lifting_afterwards_is_not() -> None:
    assert freed()["nuts_off"] == [("gas", "nuts")]
    assert "cover_off" not in freed()


def test_a_part_that_nothing_clamps_frees_as_it_comes_off() -> None:
    assert freed()["cap_off"] == [("gas", "cap")]


def test_lines_and_fasteners_free_what_they_contain_themselves() -> None:
    assert freed()["tube_off"] == [("line_gas", "tube")]
    assert freed()["plug_out"] == [("chamber_gas", "plug")]


def test_putting_together_frees_nothing() -> None:
    assert "cover_on" not in freed()
