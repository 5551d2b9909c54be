"""Two evaluators mark the same jobs apart from each other."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench as company
from tests.actions.bench import MODULE, NOW, enter
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, INES, KIT, MIRA, SOL, Someone
from trainer.actions import agreements, bench, observe, publish
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.procedure import library
from trainer.records.observation import StepMark, StepSeen

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database

ALL = list(library.read_module(SMALL_VALVE, "small-valve.yaml", library.tables()).steps)
U, W = StepMark.UNAIDED, StepMark.WORD


@pytest.fixture(autouse=True)
def _on_their_sheets(db: Database) -> None:
    """What is evaluated or watched has been assigned before."""
    for someone in (AMA, BEN):
        company.give_module(db, someone)


def watched(
    db: Database,
    someone: Someone,
    whom: Someone,
    marks: list[StepMark],
    ticket: str,
    beside: int | None = None,
) -> int:
    """Let somebody watch a job, and sign for it: the steps in the order of the file."""
    actor = enter(db, someone)
    number = observe.begin(db, actor, whom.id, MODULE, "DN 80", ticket=ticket, beside=beside, now=NOW)
    entries = [
        observe.Entry(step, StepSeen(step, mark, "", NOW + timedelta(seconds=n)))
        for n, (step, mark) in enumerate(zip(ALL, marks, strict=False))
    ]
    observe.mark(db, actor, number, entries, now=NOW)
    signed(db, actor, someone, number)
    return number


def signed(db: Database, actor: Actor, someone: Someone, number: int) -> None:
    observe.close(db, actor, number, order=(), result="Seen.", password=someone.password, now=NOW)


@pytest.fixture
def two(db: Database) -> Database:
    """A company in which the supervisor may evaluate beside the mentor."""
    company.qualify_supervisor(db)
    return db


def test_agreement_beyond_chance_with_its_interval(two: Database) -> None:
    # Both unaided 40, the mentor alone 6, the supervisor alone 4, neither 6: observed (40 + 6) / 56 = 0.8214, by
    # chance (46 * 44 + 10 * 12) / 56² = 0.6837, so (0.8214 - 0.6837) / (1 - 0.6837) = 0.4355 (reckoned by hand).
    mentor = [U] * 46 + [W] * 10
    supervisor = [U] * 40 + [W] * 6 + [U] * 4 + [W] * 6
    for job, whom in enumerate((AMA, BEN)):
        part = slice(job * len(ALL), (job + 1) * len(ALL))
        first = watched(two, MIRA, whom, mentor[part], f"m{job}")
        watched(two, SOL, whom, supervisor[part], f"s{job}", beside=first)
    (line,) = agreements.pairs(two, enter(two, KIT))
    assert (line.first, line.second) == (MIRA.display_name, SOL.display_name)
    assert (line.jobs, line.steps, line.alike) == (2, 56, 46)
    kappa = line.unaided.kappa
    assert kappa is not None
    assert kappa.value == pytest.approx(0.4355, abs=1e-4)
    assert kappa.low < kappa.value < kappa.high
    assert {(one.first, one.second) for one in line.apart} == {(U.words, W.words), (W.words, U.words)}
    assert sum(one.times for one in line.apart) == 10


def test_too_few_steps_and_marks_that_are_all_the_same_are_told_in_a_sentence(two: Database) -> None:
    first = watched(two, MIRA, AMA, [U] * 10, "m")
    watched(two, SOL, AMA, [U] * 12, "s", beside=first)
    (line,) = agreements.pairs(two, enter(two, SOL))
    assert line.steps == 10
    assert line.unaided.kappa is None
    assert "10 steps marked by both are too few to tell; it takes 30." in line.unaided.why_not
    more = watched(two, MIRA, BEN, [U] * 28, "m2")
    watched(two, SOL, BEN, [U] * 28, "s2", beside=more)
    (line,) = agreements.pairs(two, enter(two, SOL))
    assert "All marks are the same" in line.marks.why_not


def test_one_that_is_not_signed_or_of_another_job_says_nothing(two: Database) -> None:
    first = watched(two, MIRA, AMA, [U] * 28, "m")
    watched(two, SOL, AMA, [U] * 28, "by itself")
    observe.begin(two, enter(two, SOL), AMA.id, MODULE, "DN 80", ticket="open", beside=first, now=NOW)
    assert agreements.pairs(two, enter(two, KIT)) == ()


def test_who_watches_the_same_job_does_not_look_at_the_others_marks_before_signing(two: Database) -> None:
    first = watched(two, MIRA, AMA, [U] * 5, "m")
    sol = enter(two, SOL)
    assert bench.observation(two, sol, first).signature is not None
    second = observe.begin(two, sol, AMA.id, MODULE, "DN 80", ticket="s", beside=first, now=NOW)
    with pytest.raises(NotAllowed, match="opens when you have signed your own"):
        bench.observation(two, sol, first)
    observe.mark(two, sol, second, [observe.Entry("a", StepSeen("shut", W, "", NOW))], now=NOW)
    signed(two, sol, SOL, second)
    assert [line.observation_id for line in bench.observation(two, sol, first).others] == [second]


def test_a_job_is_one_attempt_however_many_watched_it(two: Database) -> None:
    first = watched(two, MIRA, AMA, [U] * 28, "m")
    watched(two, SOL, AMA, [U] * 20 + [W] + [U] * 7, "s", beside=first)
    revision = publish.current_modules(two, SYSTEM)[0].revision
    with two.reading() as unit:
        seen = bench.witnessed_of(unit, AMA.id, MODULE, revision)
    assert len(seen) == len({item.skill for item in seen})
    right = {item.skill: item.right for item in seen}
    # One of them helped with the bonnet, in the rebuild; nobody with the strip-down.
    assert (right["order:teardown"], right["order:rebuild"]) == (True, False)
    watched(two, MIRA, AMA, [U] * 28, "another job")
    with two.reading() as unit:
        seen = bench.witnessed_of(unit, AMA.id, MODULE, revision)
    assert [item.right for item in seen if item.skill == "order:rebuild"] == [False, True]


@pytest.mark.parametrize("someone", [AMA, MIRA, INES])
def test_other_roles_do_not_read_it(db: Database, someone: Someone) -> None:
    with pytest.raises(NotAllowed):
        agreements.pairs(db, enter(db, someone))
