"""Two models of memory that know more than one session: a check on the simple rule, for who has sessions enough.

`Spacing` predicts from when all earlier sessions were: the same sessions spread over time last longer than crowded ones.
Source: M. M. Walsh, K. A. Gluck, G. Gunzelmann, T. Jastrzembski and M. Krusmark, Evaluating the theoretic adequacy and
applied potential of computational models of the spacing effect, Cognitive Science 42, 2018 (the predictive performance
equation). `activation` is the base-level equation of J. R. Anderson and C. Lebiere, The Atomic Components of Thought, 1998.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

FEWEST_SESSIONS = 4
_SECONDS_A_DAY = 86_400.0
_TAUS = [-2.0 + step * 0.05 for step in range(121)]
_NOISES = [0.05, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2]


class TooFewSessions(TrainerError):
    """The model of spacing needs several sessions to be fitted at all."""

    def __init__(self, sessions: int) -> None:
        super().__init__(f"The model of spacing needs {FEWEST_SESSIONS} sessions; there are {sessions}.")


class NotAfter(TrainerError):
    """A moment that does not lie after all sessions."""

    def __init__(self) -> None:
        super().__init__(
            "Memory is predicted for a moment after the sessions, which stand in the order of time."
        )


@dataclass(frozen=True)
class Session:
    """A session at a moment in days from any start, and the share that was right in it."""

    day: float
    share: float


def sessions(shown: Iterable[tuple[datetime, bool]]) -> tuple[Session, ...]:
    """Return the sessions among the times a skill was shown, in the order of time: each day is one."""
    days: dict[int, list[bool]] = {}
    for at, right in shown:
        days.setdefault(at.date().toordinal(), []).append(right)
    return tuple(Session(float(day), sum(marks) / len(marks)) for day, marks in sorted(days.items()))


@dataclass(frozen=True)
class Spacing:
    """The predictive performance equation with its parameters; times in days.

    Args:
        decay: b, the decay however sessions are spaced.
        relief: m, how much spacing slows it.
        learning: c, the power of practice.
        weight: x, how much recent sessions count more.
        tau: the strength at which half is right; fitted to a person.
        noise: how sharply the share turns around it; fitted to a person.
    """

    decay: float = 0.04
    relief: float = 0.08
    learning: float = 0.1
    weight: float = 0.6
    tau: float = 0.9
    noise: float = 0.1

    def strength(self, days: Sequence[float], now: float) -> float:
        """Return how strong the memory is now, for sessions on these days.

        Raises:
            NotAfter: now is not after all of them, or they are not in the order of time.
        """
        ages = [(now - day) * _SECONDS_A_DAY for day in days]
        lags = [(later - earlier) * _SECONDS_A_DAY for earlier, later in pairwise(days)]
        if not ages or min(ages) <= 0 or min(lags, default=0) < 0:
            raise NotAfter
        weights = [age**-self.weight for age in ages]
        age = sum(w * a for w, a in zip(weights, ages, strict=True)) / sum(weights)
        spaced = sum(1 / math.log(lag + math.e) for lag in lags) / len(lags) if lags else 0.0
        return float(len(days) ** self.learning * age ** -(self.decay + self.relief * spaced))

    def share(self, days: Sequence[float], now: float) -> float:
        """Return the predicted share of right performances now."""
        return recalled(self.strength(days, now), self.tau, self.noise)


def fitted(sessions: Sequence[Session], model: Spacing | None = None) -> Spacing:
    """Return the model with tau and noise as a person's sessions say, by least squares over a grid.

    Raises:
        TooFewSessions: fewer than four.
        NotAfter: two sessions at one moment, or out of order.
    """
    if len(sessions) < FEWEST_SESSIONS:
        raise TooFewSessions(len(sessions))
    begun = model or Spacing()
    days = [session.day for session in sessions]
    seen = [
        (begun.strength(days[:number], days[number]), sessions[number].share)
        for number in range(1, len(sessions))
    ]

    def off(tau: float, noise: float) -> float:
        return sum((recalled(strength, tau, noise) - share) ** 2 for strength, share in seen)

    tau, noise = min(((tau, noise) for tau in _TAUS for noise in _NOISES), key=lambda pair: off(*pair))
    return replace(begun, tau=tau, noise=noise)


def activation(days: Sequence[float], now: float, decay: float = 0.5) -> float:
    """Return the base-level activation ln(sum of age**-decay); ages in whatever unit the days are.

    Raises:
        NotAfter: now is not after all of them.
    """
    if not days or max(days) >= now:
        raise NotAfter
    return math.log(sum((now - day) ** -decay for day in days))


def even_activation(count: int, since_first: float, decay: float = 0.5) -> float:
    """Return the activation for practice spread evenly since the first time: ln(n / (1 - d)) - d ln L."""
    return math.log(count / (1 - decay)) - decay * math.log(since_first)


def recalled(strength: float, tau: float, noise: float) -> float:
    """Return the probability of recall: 1 / (1 + exp((tau - strength) / noise))."""
    return 1 / (1 + math.exp(min(700.0, (tau - strength) / noise)))
