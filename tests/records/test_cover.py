"""Cover: counted on a day, missed when somebody is away, restored by the least that can be done (against trying all)."""

from __future__ import annotations

import random
from datetime import date, timedelta
from itertools import combinations

import pytest

from trainer.records.cover import (
    CoverOutOfReach,
    CoverTakesTooLong,
    Holding,
    Means,
    Measure,
    Shortage,
    able,
    dependences,
    forecast,
    least,
    shortages,
)

DAY = date(2027, 5, 3)
NEEDED = {"T-13": 1, "T-31": 2}


def _held(person: str, task: str, days: int = 100) -> Holding:
    return Holding(person, task, DAY - timedelta(days=300), DAY + timedelta(days=days))


HELD = [_held("ama", "T-31", 10), _held("ben", "T-31", 30), _held("ben", "T-13", 30), _held("cleo", "T-31")]


def test_a_holding_counts_from_its_first_day_to_its_last() -> None:
    [held] = [Holding("ama", "T-31", DAY, DAY + timedelta(days=1))]
    for days, counts in ((-1, False), (0, True), (1, True), (2, False)):
        assert ("T-31" in able([held], DAY + timedelta(days=days))) is counts


def test_who_may_do_it_is_counted_against_what_is_needed() -> None:
    assert shortages(HELD, NEEDED, DAY) == ()
    assert shortages(HELD, NEEDED, DAY + timedelta(days=31)) == (
        Shortage("T-13", 0, 1),
        Shortage("T-31", 1, 2),
    )
    assert shortages(HELD, NEEDED, DAY, away=frozenset({"ama", "ben"})) == (
        Shortage("T-13", 0, 1),
        Shortage("T-31", 1, 2),
    )


def test_what_hangs_on_one_person_is_named() -> None:
    [ben] = dependences(HELD, NEEDED, DAY)
    assert (ben.person, ben.shortages) == ("ben", (Shortage("T-13", 0, 1),))


def test_the_forecast_names_the_days_on_which_cover_falls() -> None:
    told = forecast(HELD, NEEDED, DAY, weeks=8)
    assert told == (
        (DAY, ()),
        (DAY + timedelta(days=31), (Shortage("T-13", 0, 1), Shortage("T-31", 1, 2))),
    )


MEASURES = [
    Measure("ama", "T-13", Means.NEW, 6),
    Measure("cleo", "T-13", Means.NEW, 4),
    Measure("dev", "T-31", Means.REFRESHER, 2),
    Measure("ama", "T-31", Means.REFRESHER, 1),
]


def test_the_least_is_chosen_and_among_equals_the_quickest() -> None:
    later = DAY + timedelta(days=31)
    assert least(HELD, NEEDED, later, MEASURES, weeks=8) == (MEASURES[1], MEASURES[3])
    assert least(HELD, NEEDED, DAY, MEASURES, weeks=8) == ()


def test_what_takes_too_long_is_left_out_and_what_cannot_be_covered_is_named() -> None:
    with pytest.raises(CoverOutOfReach, match=r"covers T-13:"):
        least(HELD, NEEDED, DAY + timedelta(days=31), MEASURES, weeks=3)


def test_a_person_is_not_asked_for_more_than_allowed() -> None:
    later = DAY + timedelta(days=31)
    only_ama = [MEASURES[0], MEASURES[3]]
    assert least(HELD, NEEDED, later, only_ama, weeks=8) == tuple(only_ama)
    with pytest.raises(CoverOutOfReach):
        least(HELD, NEEDED, later, only_ama, weeks=8, at_most_each=1)


def _holds(
    held: list[Holding], chosen: tuple[Measure, ...], needed: dict[str, int], *, any_one_away: bool
) -> bool:
    after = [*held, *(Holding(m.person, m.task, DAY, DAY) for m in chosen)]
    people = {h.person for h in after}
    everyone = [frozenset({person}) for person in people] if any_one_away and people else [frozenset[str]()]
    return all(not shortages(after, needed, DAY, away=away) for away in everyone)


@pytest.mark.parametrize("any_one_away", [False, True])
def test_no_smaller_or_quicker_choice_exists(any_one_away: bool) -> None:
    draw = random.Random(7)  # noqa: S311  # invented crews
    solved = 0
    for _ in range(150):
        people, tasks = [f"p{n}" for n in range(draw.randint(2, 4))], ["A", "B", "C"]
        needed = {task: draw.randint(0, 2) for task in tasks}
        pairs = [(person, task) for person in people for task in tasks]
        held = [_held(*pair) for pair in pairs if draw.random() < 0.3]
        offered = [
            Measure(*pair, Means.NEW, draw.randint(1, 9))
            for pair in pairs
            if not any((h.person, h.task) == pair for h in held) and draw.random() < 0.7
        ]
        choices = [c for size in range(len(offered) + 1) for c in combinations(offered, size)]
        right = [c for c in choices if _holds(held, c, needed, any_one_away=any_one_away)]
        if not right:
            with pytest.raises(CoverOutOfReach):
                least(held, needed, DAY, offered, weeks=9, any_one_away=any_one_away)
            continue
        solved += 1
        chosen = least(held, needed, DAY, offered, weeks=9, any_one_away=any_one_away)
        assert _holds(held, chosen, needed, any_one_away=any_one_away)
        best = min((len(c), sum(m.weeks for m in c)) for c in right)
        assert (len(chosen), sum(m.weeks for m in chosen)) == best
    assert solved > 30


def test_the_time_of_the_solver_is_bounded() -> None:
    people, tasks = [f"p{n}" for n in range(30)], [f"T-{n}" for n in range(20)]
    offered = [Measure(person, task, Means.NEW, 2) for person in people for task in tasks]
    needed = dict.fromkeys(tasks, 3)
    with pytest.raises(CoverTakesTooLong, match=r"within 0 s: choose fewer"):
        least([], needed, DAY, offered, weeks=9, any_one_away=True, at_most_each=3, seconds=0)
    assert len(least([], needed, DAY, offered, weeks=9, seconds=30)) == 60
