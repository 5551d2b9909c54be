"""Whether a skill is known, from the answers so far: for choosing what to practise, never for signing.

Source: A. T. Corbett and J. R. Anderson, Knowledge tracing, User Modeling and User-Adapted Interaction 4, 1995, pp.
253-278. Two states, known and not; an answer is right in spite of not knowing with the chance of a guess, wrong in spite
of knowing with that of a slip; after each answer the skill may have been learnt.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import factorial
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.competency.policy import Policy


@dataclass(frozen=True)
class Answered:
    """An answer as it counts here: right or not, and the chance that a blind guess would have been right."""

    right: bool
    guess: float


def chance_of_right(known: float, *, guess: float, slip: float) -> float:
    """Return the probability that the next answer is right."""
    return known * (1 - slip) + (1 - known) * guess


def given_answer(known: float, *, right: bool, guess: float, slip: float) -> float:
    """Return the probability of knowing, in the light of an answer."""
    if right:
        from_knowing = known * (1 - slip)
        total = chance_of_right(known, guess=guess, slip=slip)
    else:
        from_knowing = known * slip
        total = from_knowing + (1 - known) * (1 - guess)
    # An answer that could not be, such as a wrong one by somebody who knows for certain, tells nothing.
    return from_knowing / total if total else known


def after_answer(known: float, *, right: bool, guess: float, slip: float, learn: float) -> float:
    """Return the probability of knowing after an answer and what was learnt from it."""
    seen = given_answer(known, right=right, guess=guess, slip=slip)
    return seen + (1 - seen) * learn


def trace(answers: Iterable[Answered], policy: Policy) -> float:
    """Return the probability that a skill is known after answers in the order of time.

    Args:
        answers: the answers, each with its chance of a blind guess; that chance is never taken for less than the policy's,
            because half-knowledge guesses better than none.
        policy: the numbers in force.
    """
    known = float(policy.mastery_start)
    slip, learn, least = (
        float(policy.mastery_slip),
        float(policy.mastery_learn),
        float(policy.mastery_guess_least),
    )
    for answer in answers:
        guess = max(answer.guess, least)
        known = after_answer(known, right=answer.right, guess=guess, slip=slip, learn=learn)
    return known


def guess_of_order(legal_orders: int, lines: int) -> float:
    """Return the chance that blindly ordered lines are in one of the legal orders: e(P) / n!."""
    return legal_orders / factorial(lines)
