"""From evidence to a decision: what counts, what takes a pass back, and the sentence with its risk."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

import pytest

from trainer.competency.policy import Policy
from trainer.competency.readiness import ClassReadiness, Counted, Readiness, assess, series_for
from trainer.competency.saying_numbers import chance, times
from trainer.competency.sequential import Decision
from trainer.competency.skill_classes import ElementClass, SkillClass

START = datetime(2026, 11, 2, 8, 0, tzinfo=UTC)
TORQUE = ElementClass("torque", "Torque", SkillClass.CRITICAL, ("t:a", "t:b"))
REASONS = ElementClass("reasons", "Reasons", SkillClass.ORDINARY, ("say",))
UNSEEN = Policy(critical_observed=0)


def _series(
    marks: str, skills: tuple[str, ...] = ("t:a", "t:b"), series: int = 1, first: int = 0
) -> list[Counted]:
    """Return attempts from marks: `+` right, `-` wrong, `!` right but for a critical error, `w` right at the bench."""
    return [
        Counted(
            skills[n % len(skills)],
            series,
            mark != "-",
            mark == "!",
            START + timedelta(days=series, minutes=first + n),
            mark == "w",
        )
        for n, mark in enumerate(marks)
    ]


def _stands(
    attempts: list[Counted], policy: Policy = UNSEEN, element: ElementClass = TORQUE
) -> ClassReadiness:
    (found,) = assess([element], attempts, policy).classes
    return found


def test_ready_after_eighteen_without_a_failure_and_not_before() -> None:
    found = _stands(_series("+" * 17))
    assert (found.decision, found.fewest_to_go) == (Decision.GO_ON, 1)
    assert found.sentence == "Undecided, no failure in 17 attempts; at least 1 more, all right."
    found = _stands(_series("+" * 18))
    assert found.ready
    assert found.decided_at == START + timedelta(days=1, minutes=17)
    assert found.sentence == "Ready: at most 1 in 20 who fail one time in five would get this far."


def test_the_exact_risk_is_below_the_one_told() -> None:
    """By hand: the lines of Wald with .02, .20, .05 and .025, attempt by attempt.

    Passed at 18, 31, 43 with 0, 1, 2 failures; stopped at 2 failures up to 10, 3 up to 22, 4 up to 34, 5 up to 47, and at 54.
    """
    passed, alive = 0.0, {0: 1.0}
    for attempt in range(1, 55):
        after: dict[int, float] = {}
        for failures, weight in alive.items():
            after[failures] = after.get(failures, 0) + 0.8 * weight
            after[failures + 1] = after.get(failures + 1, 0) + 0.2 * weight
        passed += after.pop({18: 0, 31: 1, 43: 2}.get(attempt, -1), 0)
        stop = next((least for last, least in ((10, 2), (22, 3), (34, 4), (47, 5)) if attempt <= last), 6)
        alive = {failures: weight for failures, weight in after.items() if failures < stop}
    assert _stands(_series("+" * 18)).exact_risk == pytest.approx(passed, abs=1e-9)
    second = _stands(_series("+" * 22, series=2)).exact_risk
    assert passed < second < 0.05
    assert second < _stands(_series("+" * 40, series=9)).exact_risk < 0.05


def test_one_failure_alone_ends_no_series() -> None:
    assert _stands(_series("-")).decision is Decision.GO_ON
    assert _stands(_series("-", ("say",)), element=REASONS).decision is Decision.GO_ON


def test_a_critical_error_fails_the_attempt() -> None:
    assert _stands(_series("!" + "+" * 17)).failures == 1
    assert _stands(_series("!" + "+" * 17)).decision is Decision.GO_ON


def test_not_ready_ends_the_series_and_the_next_one_has_less_risk_to_spend() -> None:
    found = _stands(_series("+--" + "+" * 60))
    assert found.decision is Decision.NOT_READY
    assert (found.attempts, found.failures) == (3, 2)
    assert found.sentence == "Not ready: 2 failures in 3 attempts. Practise, then begin series 2."
    assert series_for(found, UNSEEN) == 2
    again = _stands(_series("+--") + _series("+" * 18, series=2))
    assert (again.series, again.decision, again.fewest_to_go) == (2, Decision.GO_ON, 4)
    assert _stands(_series("+--") + _series("+" * 22, series=2)).ready


def test_no_more_series_than_the_policy_allows() -> None:
    policy = Policy(series_most=1)
    assert series_for(_stands(_series("--"), policy), policy) is None
    assert series_for(_stands(_series("+"), policy), policy) == 1


def test_a_skill_that_was_never_right_keeps_the_class_open() -> None:
    only_one = _series("+" * 30, skills=("t:a",))
    found = _stands(only_one)
    assert (found.decision, found.to_be_right) == (Decision.GO_ON, ("t:b",))
    assert _stands([*only_one, *_series("+", ("t:b",), first=40)]).ready
    assert _stands(_series("+" * 54, skills=("t:a",))).decision is Decision.NOT_READY


def test_a_failure_after_passing_takes_the_pass_back() -> None:
    found = _stands(_series("+" * 18 + "-"))
    assert (found.decision, found.decided_at) == (Decision.GO_ON, None)
    assert _stands(_series("+" * 18 + "-" + "+" * 12)).ready


def test_the_mentor_must_have_seen_it() -> None:
    found = _stands(_series("+" * 18), Policy())
    assert not found.ready
    assert (
        found.sentence == "Passed, no failure in 18 attempts; a mentor must still see 1 right at the bench."
    )
    assert _stands(_series("+" * 18 + "w"), Policy()).ready
    assert not _stands(_series("w-" + "+" * 16), Policy()).ready


def test_the_same_question_counts_once_and_work_at_the_bench_each_time() -> None:
    same = [Counted("t:a", 1, True, False, START + timedelta(minutes=n), question="q") for n in range(30)]
    assert _stands(same).attempts == 1
    assert _stands(_series("w" * 5)).attempts == 5


def test_nothing_counted_yet() -> None:
    found = _stands([])
    assert (found.series, found.attempts, found.shown_share) == (1, 0, None)
    assert found.sentence == "Undecided, not begun; at least 18 more, all right."


def test_what_is_shown_and_the_posterior() -> None:
    found = _stands(_series("+" * 18))
    assert found.shown_share == pytest.approx(0.025 ** (1 / 18), abs=1e-9)
    assert found.posterior == pytest.approx(1 - 0.8**19, abs=1e-9)


def test_the_whole_person_is_ready_when_every_class_is() -> None:
    both = [*_series("+" * 18), *_series("+" * 10, ("say",))]
    found = assess([TORQUE, REASONS], both, UNSEEN)
    assert found.ready
    assert found.sentence == (
        "Ready in both classes: at most 1 in 10 who fall short in one of them would get this far."
    )
    assert assess([TORQUE, REASONS], both[:-1], UNSEEN).sentence == "Undecided: ready in 1 of 2 classes."
    assert assess([TORQUE, REASONS], _series("--"), UNSEEN).sentence == "Not ready: Torque."
    assert not Readiness(()).ready
    assert Readiness(()).sentence == "Not ready: the procedure gives nothing to assess."
    stands = found.of_skill("say")
    assert stands is not None
    assert stands.element is REASONS
    assert found.of_skill("other") is None


def test_the_order_in_which_evidence_is_given_does_not_matter() -> None:
    attempts = [*_series("+-++"), *_series("+" * 12, ("say",)), *_series("+" * 9, series=2)]
    shuffled = list(attempts)
    random.Random(3).shuffle(shuffled)  # noqa: S311  # an order, no secret
    assert assess([TORQUE, REASONS], shuffled, Policy()) == assess([TORQUE, REASONS], attempts, Policy())


def test_somebody_poor_in_one_class_is_found_ready_no_more_often_than_told() -> None:
    """Played out with everything readiness adds to the plan: coverage, passes taken back, three series."""
    chance_of = random.Random(11)  # noqa: S311  # a simulation, no secret
    people, passed = 600, 0
    for _ in range(people):
        attempts: list[Counted] = []
        for number in range(1, 200):
            stands = _stands(attempts)
            series = series_for(stands, Policy(series_most=3))
            if stands.ready or series is None:
                break
            skill = TORQUE.skills[number % 2]
            right = chance_of.random() >= 0.2
            attempts.append(Counted(skill, series, right, False, START + timedelta(minutes=number)))
        passed += _stands(attempts).ready
    # Three times the standard error of 600 people at 1 in 20.
    assert passed / people <= 0.05 + 3 * (0.05 * 0.95 / people) ** 0.5


@pytest.mark.parametrize(
    ("share", "as_chance", "as_times"),
    [
        (0.05, "1 in 20", "1 time in 20"),
        (0.1, "1 in 10", "one time in ten"),
        (0.2, "1 in 5", "one time in five"),
        (0.3, "3 in 10", "three times in ten"),
        (0.15, "3 in 20", "3 times in 20"),
        (0.07, "7 in 100", "7 times in 100"),
        (0.033, "4 in 100", "4 times in 100"),
        (0.001, "1 in 1000", "1 time in 1000"),
    ],
)
def test_shares_in_words(share: float, as_chance: str, as_times: str) -> None:
    assert (chance(share), times(share)) == (as_chance, as_times)
