"""Castle nuts: how far it is to the next slot, how much torque is allowed there, and what to do.

Trades differ on what to do when slot and hole do not meet, so the rule is the procedure's to say:
`tighten_to_next_slot`, `back_off_to_slot` (adjusting nuts of bearings: torque seats them, the slot sets them
free again) or `one_slot_further` (self-locking castle nuts). None of them goes past maximum torque plus drag.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.refusals import NotPositive, must_not_be_negative
from trainer.trade.units import Dimension, Quantity

if TYPE_CHECKING:
    from trainer.trade.threads import Thread

LEAST_BEND_OF_PIN_DEGREES = 90
"""The ends of a cotter pin are bent by this much or more. Source: common practice, no source."""


class Rule(StrEnum):
    """What a procedure says to do at the torque."""

    NEXT_SLOT = "tighten_to_next_slot"
    BACK_OFF = "back_off_to_slot"
    ONE_FURTHER = "one_slot_further"


class Action(StrEnum):
    """What to do with the nut now."""

    TIGHTEN_TO_MINIMUM = "tighten_to_minimum"
    TURN_TO_NEXT_SLOT = "turn_to_next_slot"
    TURN_ONE_FURTHER = "turn_one_further"
    BACK_OFF = "back_off"
    FIT_PIN = "fit_pin"
    CHANGE_WASHER_OR_NUT = "change_washer_or_nut"


@dataclass(frozen=True)
class Decision:
    """What to do now, and the sentence that says so."""

    action: Action
    sentence: str


class RuleUnknown(TrainerError):
    """A rule that nobody has written down."""

    def __init__(self, rule: str) -> None:
        super().__init__(f"'{rule}' is not a rule for castle nuts; known are {', '.join(Rule)}.")


class RangeReversed(TrainerError):
    """The maximum torque lies below the minimum."""

    def __init__(self, minimum: Quantity, maximum: Quantity) -> None:
        super().__init__(f"The maximum torque {maximum} lies below the minimum {minimum}.")


def slot_angle(slots: int, holes: int = 1) -> float:
    """Return the turn in degrees from one alignment of slot and hole to the next.

    Args:
        slots: slots around the nut.
        holes: holes drilled through the bolt, evenly crossed; each can be entered from both ends.

    Source: US Army TM 55-1520-240-23-1, para 1-13 note 5 (one castellation of six is 60°); geometry.
    """
    if slots < 1:
        raise NotPositive("number of slots", slots)
    if holes < 1:
        raise NotPositive("number of holes", holes)
    return 360 / math.lcm(slots, 2 * holes)


def turn_to_next(past_alignment: float, slots: int, holes: int = 1) -> float:
    """Return the degrees to tighten on until slot and hole meet: 0 when they do, always less than one slot.

    Args:
        past_alignment: degrees that the nut has turned on since slot and hole last met.
        slots: slots around the nut.
        holes: holes drilled through the bolt.

    Source: geometry.
    """
    return -past_alignment % slot_angle(slots, holes)


def advance(screw: Thread, turn_degrees: float) -> Quantity:
    """Return how far the nut moves along the thread: lead x turn / 360°, in the unit of the pitch.

    Source: geometry.
    """
    return screw.lead.scaled(Fraction(turn_degrees) / 360)


def ceiling(maximum: Quantity, drag: Quantity) -> Quantity:
    """Return the torque that is never passed on the way to a slot: maximum plus friction drag.

    Source: FAA AC 43.13-1B (9/8/98), para 7-40 d and f.
    """
    must_not_be_negative("friction drag", drag)
    return maximum.must_be(Dimension.TORQUE) + drag


def decide(
    rule: str,
    torque_now: Quantity,
    minimum: Quantity,
    maximum: Quantity | None = None,
    drag: Quantity | None = None,
    aligned: bool = False,
) -> Decision:
    """Return what to do with a castle nut.

    Args:
        rule: one of Rule, as the procedure says.
        torque_now: torque reached, drag included; to back off, the torque reached before backing off.
        minimum: least torque, without drag.
        maximum: most torque, without drag; None when the procedure gives no ceiling.
        drag: friction drag of the nut; None for a free-running nut.
        aligned: a slot lines up with the hole now.

    Raises:
        RuleUnknown: the rule is none of the three.
        RangeReversed: the maximum lies below the minimum.

    Source: FAA AC 43.13-1B, para 7-40 f and NOTE (start at minimum plus drag, never over maximum plus
        drag, else change washer or nut); US Army TM 55-1520-240-23-1, para 1-13 note 5 (self-locking nut
        already aligned at the minimum: one more castellation) and para 1-14 d(2) (otherwise pin it).
        Backing off: common practice for bearing adjusting nuts, no source.
    """
    try:
        known = Rule(rule)
    except ValueError:
        raise RuleUnknown(rule) from None
    must_not_be_negative("torque", torque_now)
    low, high = _limits(minimum, maximum, drag)
    if torque_now < low:
        return Decision(
            Action.TIGHTEN_TO_MINIMUM,
            f"Tighten to {low.printed()} first: below it the joint is not seated, "
            "whether a slot lines up or not.",
        )
    if high is not None and torque_now > high:
        return Decision(
            Action.CHANGE_WASHER_OR_NUT,
            f"{torque_now.printed()} is past the ceiling of {high.printed()}: "
            "take the nut off, change washer or nut and start again.",
        )
    if known is Rule.BACK_OFF:
        return _back_off(aligned)
    return _tighten(known, torque_now, low, high, aligned=aligned)


def _limits(
    minimum: Quantity, maximum: Quantity | None, drag: Quantity | None
) -> tuple[Quantity, Quantity | None]:
    if maximum is not None and maximum < minimum:
        raise RangeReversed(minimum, maximum)
    if drag is None:
        return minimum, maximum
    return ceiling(minimum, drag), None if maximum is None else ceiling(maximum, drag)


def _back_off(aligned: bool) -> Decision:
    if aligned:
        return Decision(Action.FIT_PIN, "A slot lines up at the torque: fit the pin.")
    return Decision(
        Action.BACK_OFF,
        "Back off to the first slot that lines up and fit the pin: "
        "tightening on would load what must run free.",
    )


def _tighten(
    rule: Rule, torque_now: Quantity, low: Quantity, high: Quantity | None, *, aligned: bool
) -> Decision:
    further = rule is Rule.ONE_FURTHER and aligned and torque_now <= low
    if aligned and not further:
        return Decision(Action.FIT_PIN, "A slot lines up within the torque range: fit the pin.")
    if high is not None and torque_now >= high:
        return Decision(
            Action.CHANGE_WASHER_OR_NUT,
            f"The ceiling of {high.printed()} is reached and no slot may be turned to: "
            "change washer or nut and try again; never back off, never go over.",
        )
    under = "" if high is None else f", not over {high.printed()}"
    if further:
        return Decision(
            Action.TURN_ONE_FURTHER,
            f"A self-locking nut that already lines up at the minimum is turned one castellation on{under}.",
        )
    return Decision(
        Action.TURN_TO_NEXT_SLOT,
        f"Tighten on to the next slot{under}; never back off to one.",
    )
