"""Keep or renew: the fate and its reason; limits are those of the size on the bench."""

from __future__ import annotations

import re

import pytest

from trainer import drills
from trainer.drills.answer_forms import Choose, Row
from trainer.procedure import library
from trainer.procedure.damage import DAMAGES, SeenAs, as_found, damage
from trainer.procedure.model import Hazard, Module

KIND = "keep-or-renew"
VALVE = library.load("piston-valve-overhaul")
# Invented limits of the shipped module.
SPRING = {"DN 50": 96.0, "DN 80": 158.0, "DN 100": 204.0}


def _rows(size: str, part: str) -> list[tuple[int, Row, str]]:
    """Return seed, row and right option of each question on a part in 150 seeds."""
    found = []
    for seed in range(150):
        form, key = drills.ask(VALVE, KIND, size, seed).form, drills.key(VALVE, KIND, size, seed)
        assert isinstance(form, Choose)
        assert isinstance(key, dict)
        found += [
            (seed, row, next(o.text for o in row.options if o.id == key[row.id]))
            for row in form.rows
            if row.text.startswith(f"{part}: ")
        ]
    assert found
    return found


@pytest.mark.parametrize("size", SPRING)
def test_a_spring_is_judged_by_the_limit_of_its_size(size: str) -> None:
    seen = set()
    for _, row, right in _rows(size, "Return spring"):
        length = re.search(r"free length ([0-9.]+)", row.text)
        if length:
            passes = float(length[1]) >= SPRING[size]
            assert right == (
                "Use again: this finding passes it" if passes else "Renew: this finding condemns it"
            )
            seen.add(passes)
    assert seen == {True, False}


def test_the_limits_of_all_sizes_are_given() -> None:
    given = drills.ask(VALVE, KIND, "DN 80", 1).given
    assert "at least 96\u202fmm at DN 50, 158\u202fmm at DN 80, 204\u202fmm at DN 100" in given
    assert "at most 0.3\u202fmm" in given


def test_a_ring_that_is_never_used_twice_goes_however_good_it_looks() -> None:
    for seed, row, right in _rows("DN 50", "Piston O-ring"):
        assert right == "Renew: never used twice"
        key = drills.key(VALVE, KIND, "DN 50", seed)
        assert isinstance(key, dict)
        again = next(option.id for option in row.options if option.text.startswith("Use again: this finding"))
        mark = drills.mark(VALVE, KIND, "DN 50", seed, {**key, row.id: again})
        told = next(remark for remark in mark.remarks if remark.about == row.id)
        assert told.signal is Hazard.CAUTION
        assert "The old one goes back in: the piston O-ring has taken a set" in told.text


def test_the_right_fate_for_the_wrong_reason_is_not_right_but_hurts_nobody() -> None:
    seed, row, _ = _rows("DN 50", "Piston O-ring")[0]
    key = drills.key(VALVE, KIND, "DN 50", seed)
    assert isinstance(key, dict)
    other = next(option.id for option in row.options if "condemns" in option.text)
    mark = drills.mark(VALVE, KIND, "DN 50", seed, {**key, row.id: other})
    assert (mark.right, mark.credit, mark.critical) == (False, 1 - 1 / len(key), False)
    assert [remark.signal for remark in mark.remarks] == [None] * len(key)


SHOWN = [library.load(name) for name in library.shipped_procedures()]


def _shown(module: Module, seeds: range = range(60)) -> list[tuple[int, Row, str]]:
    """Return seed, row and right option of each row with a picture."""
    size, found = module.sizes[0], []
    for seed in seeds:
        form, key = drills.ask(module, KIND, size, seed).form, drills.key(module, KIND, size, seed)
        assert isinstance(form, Choose)
        assert isinstance(key, dict)
        found += [
            (seed, row, next(o.text for o in row.options if o.id == key[row.id]))
            for row in form.rows
            if row.picture is not None
        ]
    return found


@pytest.mark.parametrize("module", SHOWN, ids=lambda module: module.id)
def test_each_shipped_procedure_shows_parts_sound_and_damaged(module: Module) -> None:
    rows = _shown(module)
    damages = {dict(row.picture.options)["damage"] for _, row, _ in rows if row.picture}
    assert "" in damages
    assert len(damages) >= 6
    sound = sum(dict(row.picture.options)["damage"] == "" for _, row, _ in rows if row.picture)
    assert 0.25 < sound / len(rows) < 0.6


@pytest.mark.parametrize("module", SHOWN, ids=lambda module: module.id)
def test_the_picture_decides_and_the_words_that_stand_for_it_say_the_same(module: Module) -> None:
    for _, row, right in _shown(module):
        assert row.picture is not None
        shown = dict(row.picture.options)
        form = (module.parts.get(shown["part"]) or module.fasteners[shown["part"]]).seen_as
        assert form is not None
        named = damage(form, shown["damage"])
        assert (named.name if named else "sound") in right
        assert row.seen == as_found(form, shown["damage"], shown["seed"]).words
        # What is read does not name it, and neither does the row.
        for one in DAMAGES[form]:
            assert one.name.removeprefix("a ") not in row.text + row.detail + row.seen


def test_the_right_answer_stands_nowhere_in_particular() -> None:
    rows = [row for _, row, _ in _shown(VALVE, range(150)) if row.text.startswith("Seat ring")]
    assert {dict(row.picture.options)["damage"] for row in rows if row.picture} == {
        "",
        *(one.id for one in DAMAGES[SeenAs.SEAT_RING]),
    }
    # The options are the same each time, in one order, whatever the picture shows.
    assert len({tuple(option.text for option in row.options) for row in rows}) == 1


def test_a_damaged_seat_that_goes_back_is_told_with_its_hazard_and_a_sound_one_thrown_away_without() -> None:
    for seed, row, right in _shown(VALVE):
        if not row.text.startswith("Seat ring"):
            continue
        key = drills.key(VALVE, KIND, VALVE.sizes[0], seed)
        assert isinstance(key, dict)
        for option in row.options:
            if option.text == right:
                continue
            mark = drills.mark(VALVE, KIND, VALVE.sizes[0], seed, {**key, row.id: option.id})
            told = next(remark for remark in mark.remarks if remark.about == row.id)
            goes_back = option.text.startswith("Use again")
            assert (told.signal is Hazard.CAUTION) is goes_back
            assert not told.right


def test_what_is_never_used_twice_is_renewed_however_it_looks_and_its_damage_is_entered() -> None:
    rows = [(seed, row, right) for seed, row, right in _shown(VALVE, range(120)) if "O-ring" in row.text]
    assert rows
    for seed, row, right in rows:
        assert right.startswith("Renew in any case: ")
        key = drills.key(VALVE, KIND, VALVE.sizes[0], seed)
        assert isinstance(key, dict)
        again = next(option.id for option in row.options if option.text.startswith("Use again"))
        mark = drills.mark(VALVE, KIND, VALVE.sizes[0], seed, {**key, row.id: again})
        assert next(remark for remark in mark.remarks if remark.about == row.id).signal is Hazard.CAUTION


def test_it_says_once_that_it_takes_the_place_of_no_inspection() -> None:
    given = drills.ask(VALVE, KIND, "DN 80", 3).given
    assert given.count("never take the place of the inspection") == 1


def test_dirt_alone_is_cleaned_and_goes_back() -> None:
    rows = [
        (seed, row, right) for seed, row, right in _shown(VALVE, range(200)) if row.text.startswith("Studs")
    ]
    dirty = [(seed, row) for seed, row, right in rows if right == "Use again, cleaned: dirt only"]
    assert dirty
    seed, row = dirty[0]
    key = drills.key(VALVE, KIND, VALVE.sizes[0], seed)
    assert isinstance(key, dict)
    sound = next(option.id for option in row.options if option.text == "Use again: sound")
    mark = drills.mark(VALVE, KIND, VALVE.sizes[0], seed, {**key, row.id: sound})
    told = next(remark for remark in mark.remarks if remark.about == row.id)
    assert "not before it is clean" in told.text
    assert told.signal is None


def test_a_part_without_a_form_is_asked_about_in_words_alone() -> None:
    text = """
module: m
sizes: [S]
phases: {strip: Strip}
parts:
  a: {name: Ring a, renew: always_when_disturbed, kit: A}
  b: {name: Ring b, renew: always_when_disturbed, kit: B}
  c: {name: Spring c, renew: on_condition, kit: C, judged: {sound: [good], unsound: [bad]}}
  d: {name: Spring d, renew: on_condition, kit: D, judged: {sound: [good], unsound: [bad]}}
steps:
  - {id: out, do: Take all out, phase: strip, remove: [a, b, c, d]}
"""
    module = library.read_module(text, "m.yaml")
    asked = drills.ask(module, KIND, "S", 1)
    assert isinstance(asked.form, Choose)
    assert len(asked.form.rows) == 4
    assert all(row.picture is None and not row.seen for row in asked.form.rows)
    assert "place of the inspection" not in asked.given
