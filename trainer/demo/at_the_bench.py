"""What was watched at the bench of the invented company: two who marked the same job, a card, one still open."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import observe, publish
from trainer.actions.actor import SYSTEM
from trainer.actions.transcribe import CardRow, transcribe
from trainer.demo.cast import COL, HANNE, JOSS, LENA, OREN, RUTH, TAM
from trainer.records.observation import StepMark, StepSeen

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime

    from trainer.demo.cast import Someone
    from trainer.demo.company import Company
    from trainer.demo.story import Story
    from trainer.procedure.model import Module

_VALVE, _ISOLATE = "piston-valve-overhaul", "isolate-run"
_A_STEP = timedelta(minutes=2)


@dataclass(frozen=True)
class Watched:
    """A job that somebody watches: how steps were done that were not done unaided, and what is said of it at the end.

    `order` are the steps seen, in the order done (all of them as in the procedure when empty); without a `result` the
    observation stays open; `beside` is the number of the observation of the same job by somebody else.
    """

    by: Someone
    whom: Someone
    module_id: str
    size: str
    slips: Mapping[str, tuple[StepMark, str]] = field(default_factory=dict)
    order: Sequence[str] = ()
    result: str = ""
    beside: int | None = None


def watch(company: Company, job: Watched, at: datetime) -> Iterator[datetime]:
    """Let somebody watch a job and, when there is a result, sign for it.

    Yields:
        After the beginning when the job is done.
    """
    number = begin(company, job, at)
    until = at + _long(company, job)
    yield until
    finish(company, job, number, at, until)


def whole(company: Company, by: Someone, whom: Someone, module_id: str, result: str) -> Watched:
    """Return a whole job done unaided, on the first size of its procedure."""
    return Watched(by, whom, module_id, next(iter(_in_force(company, module_id).sizes), ""), result=result)


def begin(company: Company, job: Watched, at: datetime) -> int:
    """Let somebody begin to watch a job; return the number of the observation."""
    return observe.begin(
        company.db,
        company.at_work(job.by),
        company.ids[job.whom.sign_in_name],
        job.module_id,
        job.size,
        ticket=f"demonstration {job.whom.sign_in_name} {job.module_id} {at:%Y%m%d%H%M}",
        beside=job.beside,
        now=at,
    )


def finish(company: Company, job: Watched, number: int, begun: datetime, until: datetime) -> None:
    """Hand in what was marked of a job, and sign for it when there is a result."""
    entries = []
    for turn, step in enumerate(_steps(company, job), start=1):
        mark, note = job.slips.get(step, (StepMark.UNAIDED, ""))
        entries.append(
            observe.Entry(f"demonstration {turn}", StepSeen(step, mark, note, begun + turn * _A_STEP))
        )
    observe.mark(company.db, company.at_work(job.by), number, entries, now=until)
    if job.result:
        observe.close(
            company.db,
            company.enter(job.by, until),
            number,
            order=(),
            result=job.result,
            password=job.by.password,
            now=until,
        )


def _steps(company: Company, job: Watched) -> Sequence[str]:
    return job.order or list(_in_force(company, job.module_id).steps)


def _long(company: Company, job: Watched) -> timedelta:
    return (len(_steps(company, job)) + 1) * _A_STEP


def _in_force(company: Company, module_id: str) -> Module:
    listed = publish.current_modules(company.db, SYSTEM)
    return publish.module_at(company.db, next(one.revision for one in listed if one.module_id == module_id))


def told(story: Story) -> None:
    """Add to a story what was watched at the bench."""
    company = story.company
    story.then(5, 9, lambda at: _twice(company, at))
    story.then(9, 9, lambda at: _with_slips(company, at))
    story.then(3, 15, lambda at: _card(company, at))
    story.then(1, 13, lambda at: _open(company, at))


def _twice(company: Company, at: datetime) -> Iterator[datetime]:
    """Two mentors watch the same overhaul and mark it apart from each other; they differ on three steps."""
    word = StepMark.WORD
    first = Watched(
        HANNE,
        COL,
        _VALVE,
        "DN 80",
        slips={"measure_spring": (word, "asked which of the two limits counts")},
        result="DN 80 from the run at Kiln Bridge. Vented, proved zero and said so before a nut was touched; "
        "every ring the right way round, castle nut and pin without help.",
    )
    number = begin(company, first, at)
    yield at + _A_STEP
    second = Watched(
        OREN,
        COL,
        _VALVE,
        "DN 80",
        slips={
            "measure_spring": (word, ""),
            "mark": (word, "reminded of the mark across the joint"),
            "look_sleeve": (word, ""),
            "purge": (StepMark.MENTOR, "held the hose for him"),
        },
        result="Watched from the other side of the bench. Sure of every order; looks at the sleeve a little fast.",
        beside=number,
    )
    other = begin(company, second, at + _A_STEP)
    until = at + _long(company, first)
    yield until
    finish(company, first, number, at, until)
    yield until + _A_STEP
    finish(company, second, other, at + _A_STEP, until + _A_STEP)


def _with_slips(company: Company, at: datetime) -> Iterator[datetime]:
    """One overhaul in which an order and a ring went wrong."""
    steps = list(_in_force(company, _VALVE).steps)
    steps.remove("clean")
    steps.insert(steps.index("lay_out"), "clean")
    slips = {
        "backup_upper_in": (StepMark.WRONG, "hollow side away from the ring; taken out and turned"),
        "nuts_tight": (StepMark.WORD, "wanted to go straight to 100 %"),
        "shut_bleed": (StepMark.WORD, ""),
    }
    result = (
        "DN 50 at the bench. Safe from first to last; the upper backup ring went in turned, and parts were cleaned "
        "before they were counted."
    )
    yield from watch(company, Watched(HANNE, JOSS, _VALVE, "DN 50", slips, steps, result), at)


def _card(company: Company, at: datetime) -> None:
    """A card filled in where there was no signal, entered at the desk; it waits for its signature."""
    module = _in_force(company, _ISOLATE)
    rows = {step: CardRow(StepMark.UNAIDED) for step in module.steps}
    last = list(module.steps)[-1]
    rows[last] = CardRow(StepMark.WORD, note="looked for the second tag")
    transcribe(
        company.db,
        company.at_work(RUTH),
        company.ids[LENA.sign_in_name],
        _ISOLATE,
        next(iter(module.sizes), ""),
        evaluator_id=company.ids[HANNE.sign_in_name],
        filled_on=at.date(),
        revision=module.revision[:8],
        rows=rows,
        ticket="demonstration card",
        now=at,
    )


def _open(company: Company, at: datetime) -> Iterator[datetime]:
    """A job in the middle: made safe, and broken off for the day."""
    steps = list(_in_force(company, _VALVE).steps)
    slips = {
        "test_air": (StepMark.WORD, "held the probe too high"),
        "vent_inlet": (StepMark.WRONG, "opened at a stroke, not slowly"),
    }
    yield from watch(
        company, Watched(HANNE, TAM, _VALVE, "DN 80", slips, steps[: steps.index("plug_out")]), at
    )
