"""`trainer bench` prints each figure with its floor, ratio and goal, and exits by whether all goals are reached."""

from __future__ import annotations

import json
from types import SimpleNamespace
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from trainer.cli import figures
from trainer.cli.bench import bench_command, in_words
from trainer.cli.measuring.timing import QUICK, THOROUGH, Effort, Goal, Reading

if TYPE_CHECKING:
    from collections.abc import Iterator

GOOD = Reading("Carry a cover", 0.002, 0.001, 2.0, Goal("at least", 1.5))
BAD = Reading("Lift a cover", 1.5, 3.0, 2.0, Goal("at most", 1.2), note="It is heavy.")
PLAIN = Reading("Turn a nut", 5e-6, 25e-6, 5.0)
MISSING = Reading("Weigh a cover", note="scales, the floor, is not installed.")


@pytest.fixture
def efforts(monkeypatch: pytest.MonkeyPatch) -> list[Effort]:
    """Put two figures with known readings in place of the real ones; return the efforts they were asked for."""
    asked: list[Effort] = []

    def first(effort: Effort) -> Iterator[Reading]:
        asked.append(effort)
        yield GOOD

    def second(effort: Effort) -> Iterator[Reading]:
        asked.append(effort)
        yield from (PLAIN, MISSING)

    both = (SimpleNamespace(TITLE="A", measure=first), SimpleNamespace(TITLE="B", measure=second))
    monkeypatch.setattr(figures, "FIGURES", both)
    return asked


def test_text_tells_name_times_ratio_goal_and_verdict(efforts: list[Effort]) -> None:
    result = CliRunner().invoke(bench_command, [])
    assert result.exit_code == 0
    assert [line.split() for line in result.output.splitlines()] == [
        ["floor", "ours", "ratio", "goal", "reached"],
        ["Carry", "a", "cover"],
        ["2", "ms", "1", "ms", "2", "at", "least", "1.5", "reached"],
        ["Turn", "a", "nut"],
        ["5", "µs", "25", "µs", "5"],
        ["Weigh", "a", "cover"],
        ["scales,", "the", "floor,", "is", "not", "installed."],
    ]
    assert efforts == [THOROUGH, THOROUGH]


def test_quick_spends_less_but_still_five_rounds(efforts: list[Effort]) -> None:
    CliRunner().invoke(bench_command, ["--quick"])
    assert efforts == [QUICK, QUICK]
    assert THOROUGH.rounds > QUICK.rounds >= 5
    assert THOROUGH.sample > QUICK.sample


@pytest.mark.usefixtures("efforts")
def test_json_gives_seconds_and_plain_values() -> None:
    result = CliRunner().invoke(bench_command, ["--format", "json"])
    assert result.exit_code == 0
    assert json.loads(result.output) == [
        {
            "name": "Carry a cover",
            "floor": 0.002,
            "ours": 0.001,
            "ratio": 2.0,
            "goal": "at least 1.5",
            "reached": True,
            "note": "",
        },
        {
            "name": "Turn a nut",
            "floor": 5e-6,
            "ours": 25e-6,
            "ratio": 5.0,
            "goal": None,
            "reached": None,
            "note": "",
        },
        {
            "name": "Weigh a cover",
            "floor": None,
            "ours": None,
            "ratio": None,
            "goal": None,
            "reached": None,
            "note": "scales, the floor, is not installed.",
        },
    ]


def test_a_goal_that_is_missed_is_told_and_gives_exit_1(monkeypatch: pytest.MonkeyPatch) -> None:
    figure = SimpleNamespace(TITLE="C", measure=lambda _: iter([GOOD, BAD]))
    monkeypatch.setattr(figures, "FIGURES", (figure,))
    result = CliRunner().invoke(bench_command, [])
    assert result.exit_code == 1
    assert result.output.splitlines()[-1].split("at most 1.2")[1].split() == [
        "NOT",
        "REACHED",
        "It",
        "is",
        "heavy.",
    ]
    assert CliRunner().invoke(bench_command, ["--format", "json"]).exit_code == 1


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(2.0, "2 s"), (0.0123, "12.3 ms"), (0.001, "1 ms"), (4.56e-5, "45.6 µs"), (None, "")],
)
def test_times_have_the_unit_that_suits_them(seconds: float | None, words: str) -> None:
    assert in_words(seconds) == words
