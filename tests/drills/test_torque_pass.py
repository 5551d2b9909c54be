"""The torque pass drill: slips of the trade are recognised and named."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from trainer import drills
from trainer.drills.answer_forms import Arrange, Choose, Number
from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables

if TYPE_CHECKING:
    from trainer.drills.mark import Mark
    from trainer.procedure.model import Module

# Invented values; the wrench figures are computed beside the tests by T × L / (L + E cos α), US Army TM 9-254.
FLANGE = """\
module: flange
title: Close an invented flange
document: T-1
covered_task: T-31
sizes: [DN 50, DN 80]
parts:
  body: {fixed: true}
  cover: {rests_on: body}
  pin: {rests_on: body, locks: castle_nut}
fasteners:
  nuts:
    name: Cover nuts
    clamp: cover
    count: {DN 50: 8, DN 80: 12}
    torque: {DN 50: 60 N·m, DN 80: 95 N·m}
    passes: [30 %, 60 %, 100 %, round]
    pattern: cross
  screw:
    name: Set screw
    clamp: cover
    torque: 40 N·m
    adapter: {wrench: 400 mm, offset: 100 mm}
  castle_nut:
    name: Castle nut
    clamp: cover
    torque: 50 N·m
    castle: {slots: 6, rule: tighten_to_next_slot, torque_max: 70 N·m, drag: 3 N·m}
steps:
  - {id: out, do: Take the pin out, remove: pin}
  - {id: undo, do: Undo all, undo: [nuts, screw, castle_nut]}
  - {id: off, do: Lift the cover off, remove: cover}
  - {id: on, do: Set the cover on, install: cover}
  - {id: tight, do: Tighten all, tighten: [nuts, screw, castle_nut]}
  - {id: in, do: Fit the pin, install: pin}
"""


@pytest.fixture(scope="module")
def flange() -> Module:
    return library.read_module(FLANGE, "flange.yaml", SharedTables())


def _seed(module: Module, fastener: str, size: str, form: type, wanted: str = "") -> int:
    """Return the first seed that asks about a fastener in a form, with a given field when that matters."""
    for start in range(500):
        seed = drills.seed_for(module, f"torque-pass:{fastener}", start)
        question = drills.ask(module, "torque-pass", size, seed)
        fields = question.form.fields if isinstance(question.form, Number) else ()
        if isinstance(question.form, form) and (not wanted or wanted in {field.text for field in fields}):
            return seed
    raise AssertionError("no such question in 500 seeds")


def _mark(module: Module, size: str, seed: int, answer: Any) -> Mark:
    return drills.mark(module, "torque-pass", size, seed, answer)


def _told(mark: Mark, field: str) -> str:
    return next(remark.text for remark in mark.remarks if remark.about == field)


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        ("60", "N·m", "that is the figure for DN 50"),
        ("40", "N·m", "that is the figure for the set screw"),
        ("95", "lbf·ft", "that is the figure in N·m"),
        ("70.1", "N·m", "that is the figure in lbf·ft"),  # 95 / 1.355818, NIST SP 811
        ("200", "N·m", "too much; the cover nuts stretch or the thread strips"),
        ("12", "N·m", "too little; the joint is not clamped and leaks"),
    ],
)
def test_slips_in_the_target_are_named(flange: Module, value: str, unit: str, told: str) -> None:
    seed = _seed(flange, "nuts", "DN 80", Number, "Pass 1 of 4")
    answer = {"target": {"value": value, "unit": unit}, "pass": {"value": "28.5", "unit": "N·m"}}
    mark = _mark(flange, "DN 80", seed, answer)
    assert (mark.right, mark.critical, mark.credit) == (False, True, 0.5)
    assert told in _told(mark, "target")
    assert "The target at DN 80 is 95\u202fN·m." in _told(mark, "target")


def test_the_right_figure_may_be_given_in_another_unit(flange: Module) -> None:
    seed = _seed(flange, "nuts", "DN 80", Number, "Pass 1 of 4")
    answer = {"target": {"value": "70.1", "unit": "lbf·ft"}, "pass": {"value": "252", "unit": "lbf·in"}}
    assert _mark(flange, "DN 80", seed, answer).right


def test_the_full_target_is_not_the_pass(flange: Module) -> None:
    seed = _seed(flange, "nuts", "DN 80", Number, "Pass 2 of 4")
    answer = {"target": {"value": "95", "unit": "N·m"}, "pass": {"value": "95", "unit": "N·m"}}
    assert "that is the full target, not the pass" in _told(_mark(flange, "DN 80", seed, answer), "pass")
    answer["pass"]["value"] = "28.5"
    assert "that is pass 1, 30 %" in _told(_mark(flange, "DN 80", seed, answer), "pass")


@pytest.mark.parametrize(
    ("value", "told"),
    [("40", "that leaves the adapter out"), ("50", "that takes the adapter the wrong way")],  # 40 × 500 / 400
)
def test_slips_with_the_adapter_are_named(flange: Module, value: str, told: str) -> None:
    seed = _seed(flange, "screw", "DN 50", Number)
    answer = {"target": {"value": "40", "unit": "N·m"}, "setting": {"value": value, "unit": "N·m"}}
    assert told in _told(_mark(flange, "DN 50", seed, answer), "setting")
    answer["setting"]["value"] = "32"  # 40 × 400 / (400 + 100)
    assert _mark(flange, "DN 50", seed, answer).right


def test_any_cross_pattern_is_right(flange: Module) -> None:
    seed = _seed(flange, "nuts", "DN 50", Arrange)
    letters = "abcdefgh"
    for order in ((1, 5, 3, 7, 2, 6, 4, 8), (2, 6, 4, 8, 1, 5, 3, 7), (5, 1, 7, 3, 6, 2, 8, 4)):
        assert _mark(flange, "DN 50", seed, [letters[n - 1] for n in order]).right, order
    mark = _mark(flange, "DN 50", seed, list(letters))
    assert not mark.right
    assert mark.instead == "One order that works: 1-5-3-7-2-6-4-8."


def test_the_castle_nut_follows_the_rule_of_the_module(flange: Module) -> None:
    seed = _seed(flange, "castle_nut", "DN 50", Choose)
    question = drills.ask(flange, "torque-pass", "DN 50", seed)
    assert "Minimum 50\u202fN·m. Ceiling 70\u202fN·m." in question.given
    assert "add that to both" in question.given
    key = drills.key(flange, "torque-pass", "DN 50", seed)
    assert isinstance(question.form, Choose)
    assert isinstance(key, dict)
    for row in question.form.rows:
        chosen = next(option.text for option in row.options if option.id == key[row.id])
        if row.text.startswith("At 53") and "no slot" in row.text:
            assert chosen == "tighten on to the next slot, not over the ceiling"
        elif row.text.startswith("At 53"):
            assert chosen == "fit the pin"
        elif row.text.startswith("At 73"):
            assert chosen == "take the nut off, change washer or nut, start again"
        else:
            assert chosen == "tighten to the minimum first"


def test_the_order_is_asked_with_a_blank_and_its_places_go_by_the_lines(flange: Module) -> None:
    question = drills.ask(flange, "torque-pass", "DN 80", _seed(flange, "nuts", "DN 80", Arrange))
    assert isinstance(question.form, Arrange)
    assert question.picture is not None
    assert question.picture.view == "bolts"
    options = question.picture.keywords
    assert not {"order", "pattern", "crossed"} & set(options)
    assert options["tokens"] == tuple(line.id for line in question.form.lines)


@pytest.mark.parametrize(
    ("order", "seen", "works", "group", "wrong"),
    [
        ("abcdefgh", (1, 2, 3, 4), (1, 5, 3, 7), 1, 2),
        ("aecgbdfh", (1, 5, 3, 7, 2, 4, 6, 8), (1, 5, 3, 7, 2, 6, 4, 8), 2, 6),
    ],
)
def test_a_wrong_order_is_shown_beside_one_that_works(
    flange: Module, order: str, seen: tuple[int, ...], works: tuple[int, ...], group: int, wrong: int
) -> None:
    seed = _seed(flange, "nuts", "DN 50", Arrange)
    yours, other = drills.shown(flange, "torque-pass", "DN 50", seed, list(order))
    assert yours.picture.keywords == {"part": "nuts", "order": seen, "group": group, "crossed": wrong}
    assert other.picture.keywords == {"part": "nuts", "order": works, "group": group, "crossed": 0}
    assert ", ".join(map(str, works)) in other.words


def test_a_right_order_is_shown_alone_and_other_questions_show_nothing(flange: Module) -> None:
    seed = _seed(flange, "nuts", "DN 50", Arrange)
    (only,) = drills.shown(flange, "torque-pass", "DN 50", seed, list("aecgbfdh"))
    assert only.picture.keywords["crossed"] == 0
    number = _seed(flange, "nuts", "DN 80", Number, "Pass 1 of 4")
    answer = {"target": {"value": "95", "unit": "N·m"}, "pass": {"value": "28.5", "unit": "N·m"}}
    assert drills.shown(flange, "torque-pass", "DN 80", number, answer) == ()
    assert drills.shown(flange, "order", "DN 80", 1, []) == ()


def test_the_castle_nut_stands_in_the_picture_as_its_line_says(flange: Module) -> None:
    for start in range(12):
        seed = drills.seed_for(flange, "torque-pass:castle_nut", start)
        form = drills.ask(flange, "torque-pass", "DN 50", seed).form
        for row in form.rows if isinstance(form, Choose) else ():
            assert row.picture is not None
            options = row.picture.keywords
            assert (options["past"] == 0) is ("a slot lines up" in row.text)
            assert 0 <= options["past"] < 60
            assert not options["figures"]
