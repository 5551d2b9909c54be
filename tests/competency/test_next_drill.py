"""Which drill comes next: the order of reasons, the sentence, and the mixed sheet."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from trainer.competency.evidence import Shown, Skill
from trainer.competency.next_drill import Prospect, Rank, choose, due_words, in_order, sheet, why
from trainer.competency.policy import Policy

TODAY = date(2026, 11, 26)
LAST = datetime(2026, 10, 1, 9, 0, tzinfo=UTC)
POLICY = Policy()


def _prospect(
    name: str,
    *,
    critical: bool = False,
    abnormal: bool = False,
    row: int = 0,
    attempts: int = 0,
    known: float = 0.3,
    guess: float = 0.05,
    minutes: float = 2,
    due: date | None = None,
    kind: str = "",
) -> Prospect:
    skill = Skill(name, name, kind or name, critical, abnormal)
    shown = Shown(skill, attempts, row, row, 3, LAST if attempts else None)
    return Prospect(shown, known, guess, minutes, due)


def _first(*prospects: Prospect) -> tuple[str, str]:
    found = choose(prospects, POLICY, TODAY)
    assert found is not None
    return found.prospect.skill.id, found.why


def test_what_can_hurt_comes_before_what_is_due_before_what_tells_most() -> None:
    hurts = _prospect("hurts", critical=True, row=2, attempts=5, known=0.99)
    due = _prospect("due", row=3, attempts=3, known=0.99, due=TODAY - timedelta(days=12))
    tells = _prospect("tells", known=0.5)
    assert [item.skill.id for item in in_order([tells, due, hurts], POLICY, TODAY)] == [
        "hurts",
        "due",
        "tells",
    ]
    assert _first(tells, due, hurts) == (
        "hurts",
        "2 of 3 right in a row, and an error here can hurt somebody.",
    )
    assert _first(tells, due) == ("due", "Last shown on 2026-10-01, 12 days overdue.")
    assert _first(tells) == ("tells", "Not practised yet; a minute here tells most.")


def test_a_skill_about_abnormal_conditions_comes_first_too() -> None:
    assert _prospect("gas alarm", abnormal=True).rank(TODAY) is Rank.CAN_HURT
    assert _first(_prospect("gas alarm", abnormal=True))[1] == (
        "Not practised yet, and an error here can hurt somebody."
    )


def test_the_longest_overdue_comes_first() -> None:
    some = [_prospect(f"{n}", row=3, attempts=3, due=TODAY - timedelta(days=n)) for n in (1, 30, 0)]
    assert _first(*some) == ("30", "Last shown on 2026-10-01, 30 days overdue.")
    assert _first(some[2])[1] == "Last shown on 2026-10-01, due today."


def test_the_day_it_was_last_right_anywhere_is_told() -> None:
    seen = replace(_prospect("a", row=3, attempts=3, due=TODAY), last_right=date(2026, 10, 20))
    assert why(seen, TODAY) == "Last shown on 2026-10-20, due today."


def test_a_quicker_drill_and_one_that_cannot_be_guessed_tell_more_in_a_minute() -> None:
    assert _first(_prospect("slow", minutes=4), _prospect("quick", minutes=1))[0] == "quick"
    assert _first(_prospect("coin", guess=0.5), _prospect("order", guess=0.001))[0] == "order"
    assert _first(_prospect("known", known=0.99), _prospect("open", known=0.5))[0] == "open"


def test_when_everything_is_shown_it_says_so() -> None:
    shown = _prospect("a", row=3, attempts=3, known=0.9, due=TODAY + timedelta(days=32))
    assert _first(shown)[1] == "Everything is shown; a minute here tells most. Due in 32 days."
    assert why(shown, TODAY) == "Shown. Due in 32 days."
    assert choose([], POLICY, TODAY) is None


def test_due_in_words() -> None:
    days = {n: due_words(TODAY + timedelta(days=n), TODAY) for n in (32, 1, 0, -1)}
    assert days == {32: "due in 32 days", 1: "due in 1 day", 0: "due today", -1: "1 day overdue"}
    assert due_words(None, TODAY) == ""


def test_a_sheet_mixes_three_skills_in_ten_minutes() -> None:
    prospects = [_prospect(name) for name in "abcde"]
    found = sheet(prospects, POLICY, TODAY)
    assert [item.prospect.skill.id for item in found] == ["a", "b", "c", "a", "b"]
    assert found[3].why == "Again, with others in between."
    assert found[0].why == "Not practised yet."


def test_a_sheet_prefers_different_kinds() -> None:
    prospects = [_prospect(name, kind="order") for name in "abc"] + [_prospect("t", kind="torque")]
    assert [item.prospect.skill.id for item in sheet(prospects, POLICY, TODAY)][:3] == ["a", "t", "b"]


def test_a_long_drill_still_makes_a_sheet() -> None:
    assert len(sheet([_prospect("a", minutes=25)], POLICY, TODAY)) == 1
    assert sheet([], POLICY, TODAY) == ()


@given(
    minutes=st.lists(st.integers(1, 12), min_size=1, max_size=6),
    time=st.integers(2, 40),
)
def test_a_sheet_keeps_to_its_time_and_repeats_nothing_at_once(minutes: list[int], time: int) -> None:
    prospects = [_prospect(f"{n}", minutes=m) for n, m in enumerate(minutes)]
    found = sheet(prospects, Policy(sheet_minutes=time), TODAY)
    assert found
    if len(found) > 1:
        assert sum(item.prospect.minutes for item in found) <= time
    names = [item.prospect.skill.id for item in found]
    if len(minutes) > 1:
        assert all(a != b for a, b in pairwise(names))
