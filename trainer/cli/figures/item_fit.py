"""Fitting slopes and difficulties of many items, against the best general library for it, at equal error.

Both sides sum skill up over the same number of nodes and are held to the known slopes and difficulties that the
answers were made with: a side that is quick because it stops early shows in the errors, which the note gives.
"""

from __future__ import annotations

from contextlib import suppress
from importlib import import_module
from statistics import median
from time import perf_counter
from typing import TYPE_CHECKING, Any

from trainer.cli.measuring.timing import QUICK, Goal, Reading

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.typing import NDArray

    from trainer.cli.measuring.timing import Effort

    Floats = NDArray[Any]
    Fitter = Callable[[Floats], tuple[Floats, Floats]]

TITLE = "Fit slopes and difficulties"

NODES = 61
ITEMS, PEOPLE = 200, 20_000
FEW_ITEMS, FEW_PEOPLE = 40, 2_000
ROUNDS = 5
AS_GOOD = 1.1
"""Ours may err at most this many times as much as the library; otherwise the ratio of times says nothing."""


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how many times faster ours is than the quickest library that recovers as well."""
    quick = effort == QUICK or effort.rounds < ROUNDS
    items, people = (FEW_ITEMS, FEW_PEOPLE) if quick else (ITEMS, PEOPLE)
    name = f"{TITLE}: {items} items, {people} people, times faster than the library"
    with suppress(ImportError):
        # The goal is promised of the large set; a small one is over before the difference counts.
        goal = None if quick else Goal("at least", 3)
        yield compare(name, libraries(), items, people, rounds=1 if quick else ROUNDS, goal=goal)
        return
    yield Reading(name, note="neither mirt nor girth, the floors, is installed.")


def compare(
    name: str, others: dict[str, Fitter], items: int, people: int, *, rounds: int, goal: Goal | None
) -> Reading:
    """Return the reading of ours beside the quickest of others that errs no less than ours allows.

    Raises:
        ImportError: there is no other.
    """
    if not others:
        raise ImportError
    answers, slopes, difficulties = simulated(items, people)
    # Each once, uncounted: first calls load and compile, and show how far off each is.
    tried = {}
    for label, fitter in {"ours": ours, **others}.items():
        fitter(answers[:500])
        start = perf_counter()
        found = fitter(answers)
        tried[label] = (perf_counter() - start, error(found, slopes, difficulties))
    own_error = tried.pop("ours")[1]
    best_error = min(wrong for _, wrong in tried.values())
    floor_name = min(
        (label for label, (_, wrong) in tried.items() if wrong <= best_error * AS_GOOD),
        key=lambda label: tried[label][0],
    )
    floor, mine = _in_turn(others[floor_name], answers, rounds)
    note = f"{floor_name}, error {tried[floor_name][1]:.3f}; ours {own_error:.3f}."
    if own_error > AS_GOOD * best_error:
        return Reading(name, note=f"not comparable: {note}")
    return Reading(name, floor, mine, floor / mine, goal, note)


def _in_turn(floor: Fitter, answers: Floats, rounds: int) -> tuple[float, float]:
    # One fit is a sample here: it takes seconds.
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for fitter, kept in zip((floor, ours), times, strict=True):
            start = perf_counter()
            fitter(answers)
            kept.append(perf_counter() - start)
    return median(times[0]), median(times[1])


def simulated(items: int, people: int, seed: int = 19) -> tuple[Floats, Floats, Floats]:
    """Return answers of people of normal skill, with the slopes and difficulties they were made with."""
    import numpy as np

    chance = np.random.default_rng(seed)
    slopes, difficulties = np.exp(chance.normal(0, 0.3, items)), chance.normal(0, 1, items)
    skill = chance.normal(size=(people, 1))
    right = chance.random((people, items)) < 1 / (1 + np.exp(-slopes * (skill - difficulties)))
    return right.astype(np.float64), slopes, difficulties


def error(found: tuple[Floats, Floats], slopes: Floats, difficulties: Floats) -> float:
    """Return the root mean square error over slopes and difficulties together."""
    import numpy as np

    return float(np.sqrt(np.mean((found[0] - slopes) ** 2 + (found[1] - difficulties) ** 2) / 2))


def ours(answers: Floats) -> tuple[Floats, Floats]:
    """Return slopes and difficulties by our fit."""
    from trainer.competency import item_response

    found = item_response.fit(answers, nodes=NODES)
    return found.slopes, found.difficulties


def libraries() -> dict[str, Fitter]:
    """Return the quickest library that is installed: mirt, else girth, which takes some five times as long."""
    for name, wrapped in (("mirt", _by_mirt), ("girth", _by_girth)):
        with suppress(ImportError):
            return {name: wrapped(import_module(name))}
    return {}


def _by_mirt(mirt: Any) -> Fitter:
    def fitted(answers: Floats) -> tuple[Floats, Floats]:
        model = mirt.fit_mirt(
            answers.astype(int), model="2PL", n_quadpts=NODES, compute_standard_errors=False
        ).model
        return model.parameters["discrimination"], model.parameters["difficulty"]

    return fitted


def _by_girth(girth: Any) -> Fitter:
    def fitted(answers: Floats) -> tuple[Floats, Floats]:
        found = girth.twopl_mml(answers.T.astype(int), {"quadrature_n": NODES})
        return found["Discrimination"], found["Difficulty"]

    return fitted
