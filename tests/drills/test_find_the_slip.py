"""Find the slip: what the key says of a card agrees with the simulation; false alarms cost."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from trainer import drills
from trainer.drills.answer_forms import Choose
from trainer.drills.kind import Setting
from trainer.drills.kinds import find_the_slip
from trainer.procedure import library
from trainer.procedure.simulate import run
from trainer.procedure.window import prepare

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Row

KIND = "find-the-slip"
VALVE = library.load("piston-valve-overhaul")
SIZE = "DN 80"
SEEDS = range(200)
FINE = "As it should be"


def _said(seed: int) -> list[tuple[Row, str]]:
    """Return each row with the words of its right option."""
    form, key = drills.ask(VALVE, KIND, SIZE, seed).form, drills.key(VALVE, KIND, SIZE, seed)
    assert isinstance(form, Choose)
    assert isinstance(key, dict)
    return [(row, next(o.text for o in row.options if o.id == key[row.id])) for row in form.rows]


def _with_slips(count: int) -> int:
    return next(seed for seed in SEEDS if sum(said != FINE for _, said in _said(seed)) == count)


def test_cards_hold_none_to_three_slips_of_every_sort() -> None:
    counts, sorts = set(), set()
    for seed in SEEDS:
        slips = [said for _, said in _said(seed) if said != FINE]
        counts.add(len(slips))
        sorts.update(slips)
    assert counts == {0, 1, 2, 3}
    assert sorts == {
        "Comes too early",
        "Something before it is missing",
        "Wrong way round",
        "Old part used again",
        "A pass is skipped",
        "Torque wrong",
    }


def test_a_card_runs_clean_exactly_when_its_key_tells_no_slip_of_order() -> None:
    """The second judge: steps as they stand on the card, after what was done before it."""
    plan = prepare(VALVE, SIZE).plan
    skill = find_the_slip.skills(prepare(VALVE))[0]
    for seed in SEEDS:
        card = find_the_slip._card(Setting(prepare(VALVE, SIZE), skill, SIZE, seed))
        order = [said for _, said in _said(seed) if said in ("Comes too early", find_the_slip.MISSING)]
        failure = run(plan, (*card.before, *card.steps))
        if not order:
            assert failure is None
        if failure is not None:
            assert order


@pytest.mark.parametrize(("wrong", "right"), [("conical face down", "conical face up")])
def test_a_part_the_wrong_way_round_is_told_with_what_it_does(wrong: str, right: str) -> None:
    for seed in SEEDS:
        for row, said in _said(seed):
            if right in row.text:
                assert said != "Wrong way round"
            if wrong in row.text:
                assert said == "Wrong way round"
                key = drills.key(VALVE, KIND, SIZE, seed)
                assert isinstance(key, dict)
                mark = drills.mark(VALVE, KIND, SIZE, seed, {**key, row.id: "a"})
                told = next(remark for remark in mark.remarks if remark.about == row.id)
                assert "the valve passes" in told.text
                assert mark.critical
                return
    raise AssertionError("never asked")


def test_a_torque_in_the_wrong_unit_is_told_with_what_it_comes_to() -> None:
    """95 lbf·ft is 128.8 N·m: 95 × 1.355818 (NIST SP 811, B.8)."""
    for seed in SEEDS:
        for row, said in _said(seed):
            if "Cover nuts: 95\u202flbf·ft" in row.text:
                assert said == "Torque wrong"
                mark = drills.mark(VALVE, KIND, SIZE, seed, drills.key(VALVE, KIND, SIZE, seed))
                told = next(remark.text for remark in mark.remarks if remark.about == row.id)
                assert "95\u202flbf·ft is 129\u202fN·m" in told
                return
    raise AssertionError("never asked")


def test_every_line_stands_as_passed_at_first() -> None:
    for row, _ in _said(1):
        assert row.preset == "a"
        assert row.options[0].text == FINE


def test_a_false_alarm_costs_half_a_slip() -> None:
    for slips, credit in ((0, 0.5), (1, 0.5), (2, 0.75)):
        seed = _with_slips(slips)
        key = drills.key(VALVE, KIND, SIZE, seed)
        assert isinstance(key, dict)
        sound = next(row for row, said in _said(seed) if said == FINE)
        alarm = next(
            option.id
            for option in sound.options[1:]
            if not drills.mark(VALVE, KIND, SIZE, seed, {**key, sound.id: option.id}).right
        )
        mark = drills.mark(VALVE, KIND, SIZE, seed, {**key, sound.id: alarm})
        assert (mark.right, mark.credit, mark.critical) == (False, credit, False)
        assert "1 marked for nothing" in mark.headline


def test_passing_everything_earns_nothing_where_there_are_slips() -> None:
    seed = _with_slips(2)
    mark = drills.mark(VALVE, KIND, SIZE, seed, {row.id: "a" for row, _ in _said(seed)})
    assert (mark.right, mark.credit) == (False, 0)
    assert mark.headline == "0 of 2 slips found."
