"""What counts as shown: the last few in a row, each on a question not seen before."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.competency.evidence import Attempt, Skill, Tally, summarise, tallies
from trainer.competency.policy import Policy

ORDER = Skill("order", "in order", "order", critical=True)
START = datetime(2026, 11, 2, 8, 0, tzinfo=UTC)


def _attempts(marks: str, skill: str = "order", question: str = "q") -> list[Attempt]:
    """Return attempts from `+` and `-`, a minute apart, each on its own question."""
    return [
        Attempt(skill, f"{question}{n}", mark == "+", False, START + timedelta(minutes=n))
        for n, mark in enumerate(marks)
    ]


@pytest.mark.parametrize(
    ("marks", "clean", "in_a_row", "shown"),
    [
        ("", 0, 0, False),
        ("++", 2, 2, False),
        ("+++", 3, 3, True),
        ("-+++", 3, 3, True),
        ("+++-", 3, 0, False),
        ("++-+++", 5, 3, True),
        ("+-+-+", 3, 1, False),
    ],
)
def test_the_last_ones_in_a_row_count(marks: str, clean: int, in_a_row: int, shown: bool) -> None:
    (found,) = summarise([ORDER], _attempts(marks), Policy(clean_in_a_row=3))
    assert (found.attempts, found.clean, found.in_a_row, found.is_shown) == (
        len(marks),
        clean,
        in_a_row,
        shown,
    )


def test_a_second_answer_to_a_question_does_not_count() -> None:
    first = _attempts("-")
    again = [Attempt("order", "q0", True, False, START + timedelta(hours=n)) for n in (1, 2, 3)]
    (found,) = summarise([ORDER], first + again, Policy())
    assert (found.attempts, found.in_a_row) == (1, 0)
    assert found.last == START


def test_skills_are_kept_apart_and_in_their_order() -> None:
    other = Skill("torque", "torque", "torque-pass")
    found = summarise([other, ORDER], _attempts("+++") + _attempts("-", "torque", "t"), Policy())
    assert [(item.skill.id, item.in_a_row) for item in found] == [("torque", 0), ("order", 3)]


def test_the_policy_says_how_many() -> None:
    (found,) = summarise([ORDER], _attempts("+++"), Policy(clean_in_a_row=5))
    assert not found.is_shown
    assert found.needed == 5


@given(st.text("+-", max_size=30), st.integers(1, 6))
def test_shown_means_that_the_tail_is_clean(marks: str, needed: int) -> None:
    (found,) = summarise([ORDER], _attempts(marks), Policy(clean_in_a_row=needed))
    assert found.is_shown == (len(marks) >= needed and set(marks[-needed:]) == {"+"})


def test_abnormal_conditions_are_counted_by_themselves() -> None:
    """49 CFR 192.803: to recognise and react to them is a part of being qualified of its own."""
    abnormal = Skill("stop-or-go-on", "abnormal conditions", "stop-or-go-on", critical=True, abnormal=True)
    shown = summarise((ORDER, abnormal), _attempts("+++", abnormal.id), Policy())
    assert tallies(shown) == (Tally(0, 1), Tally(1, 1))
    assert tallies(()) == (Tally(0, 0), Tally(0, 0))
