"""Castle nuts: geometry, the ceiling, and three rules that differ from trade to trade."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.trade.castle_nut import (
    LEAST_BEND_OF_PIN_DEGREES,
    Action,
    RangeReversed,
    Rule,
    RuleUnknown,
    advance,
    ceiling,
    decide,
    slot_angle,
    turn_to_next,
)
from trainer.trade.refusals import Negative, NotPositive
from trainer.trade.threads import thread
from trainer.trade.units import Quantity

q = Quantity.parse

AC_43_13 = "FAA AC 43.13-1B para 7-40 f and NOTE"
TM_55 = "US Army TM 55-1520-240-23-1, para 1-13 note 5 (one castellation = 60°) and para 1-14 d(2)"


def test_slot_angle() -> None:
    # ids "castle-slot-angle" and "castle-one-hole"; source: TM_55; geometry for one hole with two ends.
    assert slot_angle(6) == 60
    assert slot_angle(6, holes=1) == 60
    # Two crossed holes: an end every 90°, a slot every 60°, so they meet every 30° (geometry).
    assert slot_angle(6, holes=2) == 30
    # An odd nut meets the two ends of one hole in turn (geometry).
    assert slot_angle(5) == 36


def test_travel_of_one_slot() -> None:
    # id "castle-advance-3_8-24"; geometry: pitch x 60/360, in inches.
    assert float(advance(thread("3/8-24"), 60).value) == pytest.approx(0.00694, abs=1e-5)


@given(st.integers(0, 3_600_000), st.sampled_from([4, 6, 8, 10]))
def test_the_next_slot_is_always_less_than_one_slot_away(thousandths: int, slots: int) -> None:
    # id "castle-worst-turn-one-hole"; geometry: 60° for six slots and one hole, never reached.
    assert 0 <= turn_to_next(thousandths / 1000, slots) < slot_angle(slots)


def test_turn_to_next_slot() -> None:
    assert turn_to_next(0, 6) == 0
    assert turn_to_next(50, 6) == pytest.approx(10)
    assert turn_to_next(60, 6) == 0
    assert turn_to_next(0.001, 6) == pytest.approx(59.999)


def test_ceiling_is_maximum_plus_drag() -> None:
    # Source: FAA AC 43.13-1B para 7-40 d and f; 3/8-24: maximum 390, least drag 9.5 lbf·in (TM 55-1520-240-23-1).
    assert ceiling(q("390 lbf·in"), q("9.5 lbf·in")) == q("399.5 lbf·in")


# id, rule, torque now, aligned, expected action, source
DECISIONS = [
    ("castle-rule-ac4313", "tighten_to_next_slot", "110 N·m", False, Action.CHANGE_WASHER_OR_NUT, AC_43_13),
    ("castle-rule-impedance", "tighten_to_next_slot", "85 N·m", True, Action.FIT_PIN, TM_55),
    ("castle-rule-selflock", "one_slot_further", "85 N·m", True, Action.TURN_ONE_FURTHER, TM_55),
    (
        "practice-castle-forward",
        *("tighten_to_next_slot", "85 N·m", False, Action.TURN_TO_NEXT_SLOT),
        "common practice, no source (agrees with AC 43.13-1B)",
    ),
    ("below the range", "tighten_to_next_slot", "80 N·m", True, Action.TIGHTEN_TO_MINIMUM, AC_43_13),
    ("past the ceiling", "tighten_to_next_slot", "111 N·m", True, Action.CHANGE_WASHER_OR_NUT, AC_43_13),
    ("aligned at the ceiling", "tighten_to_next_slot", "110 N·m", True, Action.FIT_PIN, AC_43_13),
    ("self-locking, past minimum", "one_slot_further", "100 N·m", True, Action.FIT_PIN, TM_55),
    ("self-locking, not aligned", "one_slot_further", "85 N·m", False, Action.TURN_TO_NEXT_SLOT, TM_55),
    ("bearing nut", "back_off_to_slot", "85 N·m", False, Action.BACK_OFF, "common practice, no source"),
    (
        "bearing nut, aligned",
        "back_off_to_slot",
        "85 N·m",
        True,
        Action.FIT_PIN,
        "common practice, no source",
    ),
    ("bearing nut, loose", "back_off_to_slot", "5 N·m", True, Action.TIGHTEN_TO_MINIMUM, "common practice"),
]


@pytest.mark.parametrize(
    ("rule", "now", "aligned", "action"), [row[1:5] for row in DECISIONS], ids=[row[0] for row in DECISIONS]
)
def test_decisions_between_80_and_105_with_5_of_drag(
    rule: str, now: str, aligned: bool, action: Action
) -> None:
    decision = decide(rule, q(now), q("80 N·m"), q("105 N·m"), q("5 N·m"), aligned)
    assert decision.action is action
    assert decision.sentence.endswith(".")


def test_the_sentence_names_the_ceiling_with_drag() -> None:
    stuck = decide("tighten_to_next_slot", q("110 N·m"), q("80 N·m"), q("105 N·m"), q("5 N·m"), False)
    assert "The ceiling of 110\u202fN·m is reached" in stuck.sentence
    assert "change washer or nut and try again" in stuck.sentence


def test_a_self_locking_nut_with_no_room_left_gets_another_washer() -> None:
    stuck = decide("one_slot_further", q("80 N·m"), q("80 N·m"), q("80 N·m"), None, aligned=True)
    assert stuck.action is Action.CHANGE_WASHER_OR_NUT


def test_without_a_maximum_there_is_no_ceiling_to_name() -> None:
    decision = decide("tighten_to_next_slot", q("500 N·m"), q("80 N·m"), None, None, aligned=False)
    assert decision.action is Action.TURN_TO_NEXT_SLOT
    assert "not over" not in decision.sentence


@given(
    rule=st.sampled_from(list(Rule)),
    now=st.integers(0, 200),
    low=st.integers(1, 100),
    span=st.integers(0, 50),
    drag=st.integers(0, 20),
    aligned=st.booleans(),
)
def test_nobody_is_ever_told_to_tighten_at_or_over_the_ceiling(
    rule: Rule, now: int, low: int, span: int, drag: int, aligned: bool
) -> None:
    torque, minimum, maximum, friction = (Quantity.of(n, "N·m") for n in (now, low, low + span, drag))
    decision = decide(rule, torque, minimum, maximum, friction, aligned)
    if now >= low + span + drag:
        assert decision.action in (Action.CHANGE_WASHER_OR_NUT, Action.FIT_PIN, Action.BACK_OFF)
    if decision.action is Action.FIT_PIN:
        assert aligned
        assert low + drag <= now <= low + span + drag
    if decision.action is Action.BACK_OFF:
        assert rule is Rule.BACK_OFF


def test_units_of_torque_may_differ() -> None:
    # 60 lbf·ft is 81.3 N·m: past an 80 N·m minimum, although 60 < 80.
    assert decide("tighten_to_next_slot", q("60 lbf·ft"), q("80 N·m"), aligned=True).action is Action.FIT_PIN


def test_pin_is_bent_square_or_more() -> None:
    # id "practice-cotter-bend"; common practice, no source.
    assert LEAST_BEND_OF_PIN_DEGREES == 90


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(
        RuleUnknown, match="'loosen' is not a rule for castle nuts; known are tighten_to_next_slot"
    ):
        decide("loosen", q("80 N·m"), q("80 N·m"))
    with pytest.raises(RangeReversed, match=r"^The maximum torque 70 N·m lies below the minimum 80 N·m\.$"):
        decide("tighten_to_next_slot", q("80 N·m"), q("80 N·m"), q("70 N·m"))
    with pytest.raises(Negative, match="friction drag"):
        decide("tighten_to_next_slot", q("80 N·m"), q("80 N·m"), q("90 N·m"), q("-1 N·m"))
    with pytest.raises(NotPositive, match="number of slots"):
        slot_angle(0)
    with pytest.raises(NotPositive, match="number of holes"):
        slot_angle(6, 0)
