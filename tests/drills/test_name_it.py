"""Name it: what is pointed at is what is named, in the drawing and in words; the numbers say nothing by themselves."""

from __future__ import annotations

import re
from collections import defaultdict

import pytest

from tests.modules import SMALL_VALVE
from trainer import drills
from trainer.drills.answer_forms import Choose, Point
from trainer.drills.described import described
from trainer.drills.kinds import name_it
from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables
from trainer.procedure.window import prepare

KIND = "name-it"
VALVE = library.load("piston-valve-overhaul")
SMALL = library.read_module(SMALL_VALVE, "small.yaml", SharedTables())
SEEDS = range(60)


def _places(seed: int) -> dict[str, str]:
    """Return the part at each number of the drawing."""
    picture = drills.ask(VALVE, KIND, "DN 80", seed).picture
    assert picture is not None
    return {number: thing for thing, number in picture.keywords["numbers"]}


def test_the_key_names_what_the_drawing_numbers() -> None:
    forms = set()
    for seed in SEEDS:
        form, key = drills.ask(VALVE, KIND, "DN 80", seed).form, drills.key(VALVE, KIND, "DN 80", seed)
        assert isinstance(form, Choose)
        assert isinstance(key, dict)
        places = _places(seed)
        forms.add(form.NAME)
        for row in form.rows:
            if isinstance(form, Point):
                assert VALVE.name(places[str(key[row.id])]) == row.text
            else:
                name = next(option.text for option in row.options if option.id == key[row.id])
                assert name == VALVE.name(places[row.text.removeprefix("Number ")])
    assert forms == {"point", "choose"}


def test_the_words_decide_as_the_drawing_does() -> None:
    """Whoever cannot see it has the place in words: told apart from all others, and without its name."""
    for seed in SEEDS:
        form, places = drills.ask(VALVE, KIND, "DN 80", seed).form, _places(seed)
        assert isinstance(form, Choose)
        if isinstance(form, Point):
            told = {place.id: place.text for place in form.places}
        else:
            told = {row.text.removeprefix("Number "): row.seen for row in form.rows}
        assert set(told) == set(places)
        assert len(set(told.values())) == len(told)
        for number, words in told.items():
            assert words
            assert VALVE.name(places[number]).casefold() not in words.casefold()


def test_a_number_stands_for_other_parts_each_time() -> None:
    """Neither the item number nor the place in the file goes with the number of the drawing."""
    parts: dict[str, set[str]] = defaultdict(set)
    for seed in range(200):
        for number, thing in _places(seed).items():
            parts[number].add(thing)
    assert all(len(things) >= 15 for things in parts.values())


@pytest.mark.parametrize("seed", range(0, 60, 4))
def test_beside_each_stand_a_neighbour_and_what_looks_like_it(seed: int) -> None:
    form, places = drills.ask(VALVE, KIND, "DN 80", seed).form, _places(seed)
    assert isinstance(form, Choose)
    if isinstance(form, Point):
        assert len(form.places) == name_it.PLACES
        by_name = {VALVE.name(thing): thing for thing in places.values()}
        for row in form.rows:
            close = name_it._touching(VALVE, by_name[row.text]) | name_it._alike(VALVE, by_name[row.text])
            assert close & set(places.values()) - {by_name[row.text]}
    else:
        assert all(len(row.options) == name_it.NAMES for row in form.rows)


def test_a_wrong_place_is_told_by_what_it_is_and_where_the_right_one_is() -> None:
    seed = next(s for s in SEEDS if isinstance(drills.ask(VALVE, KIND, "DN 80", s).form, Point))
    form, places = drills.ask(VALVE, KIND, "DN 80", seed).form, _places(seed)
    key = drills.key(VALVE, KIND, "DN 80", seed)
    assert isinstance(form, Point)
    assert isinstance(key, dict)
    row = form.rows[0]
    other = next(place.id for place in form.places if place.id != key[row.id])
    mark = drills.mark(VALVE, KIND, "DN 80", seed, {**key, row.id: other})
    assert not mark.right
    assert not mark.critical
    assert mark.credit == pytest.approx(2 / 3)
    said = next(remark.text for remark in mark.remarks if remark.about == row.id)
    assert said.startswith(f"Number {other} is the ")
    assert VALVE.name(places[other])[1:] in said
    assert f"is number {key[row.id]}: " in said


def test_a_part_is_described_by_its_neighbours() -> None:
    assert described(VALVE, "piston_oring", "DN 80") == (
        "sits on the lower backup ring; under the upper backup ring; never used twice"
    )
    assert described(VALVE, "nuts", "DN 80") == "8 of them, thread M16"
    assert described(VALVE, "backup_upper", "DN 80").startswith("of PTFE; sits on the piston O-ring")


def test_a_module_without_shapes_asks_in_words_alone() -> None:
    assert [skill.id for skill in name_it.skills(prepare(SMALL))] == [KIND]
    question = drills.ask(SMALL, KIND, "DN 50", 1)
    assert question.picture is None
    assert re.search(r"under|sits on|clamps", str(question.as_data()))


def test_too_few_parts_give_nothing_to_ask() -> None:
    few = library.read_module("module: few\nparts:\n  body: {fixed: true}\n", "few.yaml", SharedTables())
    assert name_it.skills(prepare(few)) == ()
    assert "Give 6 parts or fasteners" in name_it.missing(prepare(few))
