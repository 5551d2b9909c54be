"""Figures are timed in turn, by their medians, against a goal."""

from __future__ import annotations

import pytest

from trainer.cli.measuring.timing import Effort, Goal, Reading, faster, in_turn, sample, slower

ONCE = Effort(rounds=5, sample=0)


class Bench:
    """A clock that only work moves, and two pieces of work that take as long as they are told to."""

    def __init__(self, floor: list[float], ours: list[float]) -> None:
        self.now = 0.0
        self.left = {"floor": floor, "ours": ours}
        self.done: list[str] = []

    def clock(self) -> float:
        return self.now

    def work(self, name: str) -> None:
        self.done.append(name)
        self.now += self.left[name].pop(0)

    def times(self, effort: Effort) -> tuple[float, float]:
        return in_turn(lambda: self.work("floor"), lambda: self.work("ours"), effort, self.clock)


def test_both_are_timed_in_turn_and_the_medians_count() -> None:
    """The first run of each finds out how long it takes, and is not counted."""
    bench = Bench([99, 3, 1, 2, 50, 4], [99, 30, 10, 500, 40, 20])
    assert bench.times(ONCE) == (3, 30)
    assert bench.done == ["floor", "ours"] * 6


def test_short_work_is_repeated_until_a_sample_lasts_long_enough() -> None:
    bench = Bench([1.0] * 51, [5.0] * 11)
    assert bench.times(Effort(rounds=5, sample=10)) == (1.0, 5.0)
    assert bench.done == ["floor", "ours", *(["floor"] * 10 + ["ours"] * 2) * 5]


def test_a_sample_is_the_mean_of_its_runs() -> None:
    bench = Bench([1, 2, 6], [])
    assert sample(lambda: bench.work("floor"), 3, bench.clock) == 3


def test_faster_divides_the_floor_by_ours_and_slower_ours_by_the_floor() -> None:
    work = [0]
    up, down = (
        make("name", lambda: work.append(1), lambda: work.append(1), ONCE, 2.0) for make in (faster, slower)
    )
    assert up.floor is not None
    assert up.ours is not None
    assert up.ratio == up.floor / up.ours
    assert up.goal == Goal("at least", 2.0)
    assert down.floor is not None
    assert down.ours is not None
    assert down.ratio == down.ours / down.floor
    assert down.goal == Goal("at most", 2.0)


@pytest.mark.parametrize(
    ("ratio", "goal", "reached"),
    [
        (100.0, Goal("at least", 100), True),
        (99.9, Goal("at least", 100), False),
        (1.2, Goal("at most", 1.2), True),
        (1.21, Goal("at most", 1.2), False),
        (1.0, None, None),
        (None, Goal("at most", 1.2), None),
    ],
)
def test_a_goal_is_reached_at_its_number(
    ratio: float | None, goal: Goal | None, reached: bool | None
) -> None:
    assert Reading("name", ratio=ratio, goal=goal).reached is reached


def test_a_goal_prints_as_it_is_said() -> None:
    assert str(Goal("at least", 100)) == "at least 100"
    assert str(Goal("at most", 1.2)) == "at most 1.2"
