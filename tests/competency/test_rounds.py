"""Which evidence counts: the beginning of a round, and the series that are spent in it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from trainer.competency.policy import Policy
from trainer.competency.readiness import Counted, class_readiness, series_for
from trainer.competency.rounds import Round, round_after
from trainer.competency.sequential import Decision
from trainer.competency.skill_classes import ElementClass, SkillClass

T0 = datetime(2027, 3, 1, 8, tzinfo=UTC)
POLICY = Policy()
ELEMENT = ElementClass("torque", "Torque", SkillClass.CRITICAL, ("nuts",))


def _at(day: int) -> datetime:
    return T0 + timedelta(days=day)


@pytest.mark.parametrize(
    ("signed", "broken", "before", "expected"),
    [
        ((), (), None, Round()),
        ((1,), (), None, Round(_at(1))),
        ((5, 1), (), None, Round(_at(5))),
        ((1,), (3,), None, Round(_at(1), (_at(3),))),
        ((1,), (7, 3), None, Round(_at(1), (_at(3), _at(7)))),
        # What broke off before the last signature is over.
        ((1, 5), (3,), None, Round(_at(5))),
        ((), (3,), None, Round(None, (_at(3),))),
        # The round of an earlier signature does not know of itself, nor of what came later.
        ((1, 5), (3, 6), 5, Round(_at(1), (_at(3),))),
        ((1, 5), (), 1, Round()),
    ],
)
def test_where_a_round_begins(
    signed: tuple[int, ...], broken: tuple[int, ...], before: int | None, expected: Round
) -> None:
    found = round_after(map(_at, signed), map(_at, broken), before=None if before is None else _at(before))
    assert found == expected


def test_only_what_comes_after_the_beginning_counts() -> None:
    everything, renewal, suspended = Round(), Round(_at(1)), Round(_at(1), (_at(3), _at(5)))
    assert everything.counts(_at(-900))
    assert [renewal.counts(_at(day)) for day in (0, 1, 2)] == [False, False, True]
    assert [suspended.counts(_at(day)) for day in (2, 4, 5, 6)] == [False, False, False, True]
    assert [suspended.stretch_of(_at(day)) for day in (1, 2, 3, 4, 5, 6)] == [None, 0, 0, 1, 1, 2]
    assert everything.stretch_of(_at(-900)) == 0


def test_a_series_that_may_not_be_run_counts_for_nothing() -> None:
    """What belongs to a series that is spent is passed over, however right it was."""
    old = [Counted("nuts", 1, right=True, critical=False, at=_at(day)) for day in range(40)]
    assert class_readiness(ELEMENT, old, POLICY).decision is Decision.PASS
    fresh = class_readiness(ELEMENT, old, POLICY, first=2)
    assert (fresh.series, fresh.attempts, fresh.decision) == (2, 0, Decision.GO_ON)


def test_after_a_break_the_plan_is_the_stricter_one() -> None:
    """Series k spends the share 1/2**k of the risk (own choice): the shares of all series never exceed the whole."""
    first, second = (class_readiness(ELEMENT, (), POLICY, first=number) for number in (1, 2))
    assert (first.plan.beta, second.plan.beta) == (0.025, 0.0125)
    assert second.fewest_to_go > first.fewest_to_go
    share = sum(
        class_readiness(ELEMENT, (), POLICY, first=number).plan.beta
        for number in range(1, POLICY.series_most + 1)
    )
    assert share < float(POLICY.critical_false_pass)
    beyond = class_readiness(ELEMENT, (), POLICY, first=POLICY.series_most + 1)
    assert series_for(beyond, POLICY) is None
