"""What is said of steps that cannot be put in order, in the words of the work."""

from __future__ import annotations

import pytest

from tests.checker.samples import findings, told

BUILT = """\
facts:
  vented: The body is vented
parts:
  body: {fixed: true}
  cover: {rests_on: body}
  pin: {locks: nuts}
  gasket: {renew: always_when_disturbed, kit: Gasket}
fasteners:
  nuts: {clamp: cover, hand_tight: true}
  stem_nut: {clamp: body, hand_tight: true, locking: tab washer}
lines:
  tube: {joins: cover}
steps:
"""


@pytest.mark.parametrize(
    ("steps", "sentence", "mend"),
    [
        ("{id: a, do: A, needs: vented}", "the fact `vented`", "`makes: vented`"),
        ("{id: a, do: A, tighten: nuts}", "`nuts` undone", "`undo: nuts`"),
        ("{id: a, do: A, install: gasket, renew: gasket}", "`gasket` out", "`remove: gasket`"),
        ("{id: a, do: A, connect: tube}", "`tube` disconnected", "`disconnect: tube`"),
        ("{id: a, do: A, lock: stem_nut}", "`stem_nut` unlocked", "`unlock: stem_nut`"),
        ("{id: a, do: A, inspect: body}", "`cover` out", "`remove: cover`"),
        ("{id: a, do: A, inspect: tube}", "`tube` disconnected", "`disconnect: tube`"),
        ("{id: a, do: A, ends: vented}", "the fact `vented`", "`makes: vented`"),
    ],
)
def test_what_nobody_brings_about_is_said_in_the_words_of_the_work(
    steps: str, sentence: str, mend: str
) -> None:
    missing = [f for f in findings(f"{BUILT}  - {steps}\n") if f.code == "nobody-makes"]
    assert [f.what for f in missing] == [f"`a` needs {sentence}, and no step brings that about."]
    assert missing[0].mend == f"Add {mend} to an earlier step."


def test_steps_that_miss_the_same_are_told_together() -> None:
    text = f"{BUILT}  - {{id: a, do: A, needs: vented}}\n  - {{id: b, do: B, needs: vented}}\n"
    assert told(text) == [
        ("nobody-makes", "`a` and `b` need the fact `vented`, and no step brings that about.")
    ]


def test_a_step_that_waits_for_its_own_work_is_told_so() -> None:
    text = f"{BUILT}  - {{id: a, do: A, needs: vented, makes: vented}}\n"
    assert told(text) == [
        ("nobody-makes", "`a` needs the fact `vented`, and only the same step brings that about.")
    ]


def test_a_circle_is_told_with_the_reason_of_each_relation() -> None:
    text = """\
parts:
  seat: {}
  cover: {rests_on: seat}
steps:
  - {id: seat_out, do: Draw the seat, remove: seat}
  - {id: cover_off, do: Lift the cover, remove: cover, after: seat_out, because: The seat is looked at first}
  - {id: seat_in, do: Set the seat in, install: seat}
  - {id: cover_on, do: Lower the cover, install: cover}
"""
    assert told(text) == [
        (
            "cycle",
            "2 steps wait for each other in a circle: `seat_out` before `cover_off` (the seat is looked at first); "
            "`cover_off` before `seat_out` (the cover sits on the seat: off first).",
        )
    ]


def test_three_makers_are_told_at_the_second() -> None:
    steps = "".join(f"  - {{id: {name}, do: Vent, makes: vented}}\n" for name in "abc")
    found = findings(f"{BUILT}{steps}  - {{id: d, do: D, needs: vented}}\n")
    assert [(f.code, f.what) for f in found] == [("two-makers", "`a`, `b` and `c` all say `makes: vented`.")]
    assert found[0].place.line == 21  # six lines of head, thirteen of the build, then `a`


def test_a_part_that_rests_on_itself_is_told() -> None:
    assert told("parts:\n  seat: {rests_on: seat}\n") == [
        ("rests-on-itself", "`seat` rests on `seat`: nothing of it could ever go in first.")
    ]


def test_three_parts_in_a_circle_are_told_in_their_order() -> None:
    text = "parts:\n  a: {rests_on: b}\n  b: {rests_on: c}\n  c: {rests_on: a}\n"
    assert told(text) == [
        (
            "rests-on-itself",
            "`a` rests on `b`, `b` on `c`, `c` on `a`: nothing of it could ever go in first.",
        )
    ]


def test_a_teardown_whose_rebuild_is_elsewhere_is_not_told_piece_by_piece() -> None:
    text = """\
parts: {cover: {}, seat: {}}
fasteners: {nuts: {clamp: cover, torque: 60 N·m}}
lines: {tube: {joins: cover}}
steps:
  - {id: a, do: Take the tube off, disconnect: tube}
  - {id: b, do: Undo the nuts, undo: nuts}
  - {id: c, do: Lift cover and seat, remove: [cover, seat]}
"""
    assert told(text) == [("teardown-only", "The steps take 4 things apart and put nothing back.")]


@pytest.mark.parametrize(
    ("step", "code"),
    [
        ("{id: a, do: A, with: disc}", "unit-without-base"),
        ("{id: a, do: A, remove: disc, with: disc}", "unit-without-base"),
        ("{id: a, do: A, remove: cage, with: disc}", ""),
    ],
)
def test_what_comes_along_needs_one_part_to_come_along_with(step: str, code: str) -> None:
    back = "  - {id: b, do: B, install: cage}\n  - {id: c, do: C, install: disc}\n"
    found = {name for name, _ in told(f"parts: {{cage: {{}}, disc: {{}}}}\nsteps:\n  - {step}\n{back}")}
    assert ("unit-without-base" in found) is bool(code)
