"""The packets of the sheets on cover, from what the pages show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import cover, plan
from trainer.actions.actor import NotFound
from trainer.exports.cover_packets import (
    CoverHead,
    CoverPacket,
    ForecastPacket,
    PlannedLine,
    PlanPacket,
    TaskOverTime,
)
from trainer.exports.words import document_number

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.cover_views import ShortTask
    from trainer.actions.plan_views import LineShown, PlanAsk
    from trainer.records.qualification import CoveredTask
    from trainer.store.session import Database


def forecast(db: Database, actor: Actor, subject: str, now: datetime) -> ForecastPacket:
    """Return the packet of a forecast; the subject is a crew, behind a slash how many weeks.

    Raises:
        NotFound: there is no such crew for this actor, or it is not forecast for so long.
    """
    crew, parting, asked = (part.strip() for part in subject.rpartition("/"))
    if not parting:
        crew, asked = asked, str(cover.WEEKS[1])
    weeks = next((weeks for weeks in cover.WEEKS if str(weeks) == asked), None)
    if weeks is None:
        raise NotFound("forecast of that crew over so many weeks", subject)
    found = cover.forecast(db, actor, crew, weeks=weeks, now=now)
    return ForecastPacket(
        head=_head(db, actor, crew, "FC", now),
        weeks=weeks,
        already=_words(found.already),
        falls=tuple(
            (
                fall.day,
                "; ".join(_words(fall.short)),
                "; ".join(f"{end.name}, {end.task.id}" for end in fall.ended),
            )
            for fall in found.falls
        ),
        tracks=tuple(
            TaskOverTime(_task(track.task), track.task.needed, track.steps) for track in found.tracks
        ),
        endings=tuple((end.last, end.name, _task(end.task)) for end in found.endings),
    )


def sheet(db: Database, actor: Actor, subject: str, now: datetime) -> CoverPacket:
    """Return the packet of a cover sheet; the subject is a crew.

    Raises:
        NotFound: there is no such crew for this actor.
    """
    found = cover.sheet(db, actor, subject.strip(), now=now)
    return CoverPacket(
        head=_head(db, actor, found.crew, "CV", now),
        tasks=tuple((_task(task), task.needed, names) for task, names in found.tasks),
        short=_words(found.short),
        hinges=tuple((hinge.name, "; ".join(_words(hinge.short))) for hinge in found.hinges),
    )


def planned(db: Database, actor: Actor, subject: str, now: datetime) -> PlanPacket:
    """Return the packet of a kept plan; the subject is its number, behind a slash an earlier version.

    Raises:
        NotFound: there is no such plan or version for this actor.
    """
    number, _, version = (part.strip() for part in subject.partition("/"))
    if not number.isdecimal() or (version and not version.isdecimal()):
        raise NotFound("plan", subject)
    kept = plan.sheet(db, actor, int(number), version=int(version) if version else None, now=now)
    return PlanPacket(
        head=CoverHead(db.company, kept.crew, f"PL-{kept.head.number}", actor.display_name, now.date()),
        version=kept.head.version,
        wanted=_wanted(kept.ask),
        made_on=kept.made_on,
        for_day=kept.for_day,
        lines=tuple(_line(shown) for shown in kept.lines),
        then_short=_words(kept.then_short),
    )


def _head(db: Database, actor: Actor, crew: str, kind: str, now: datetime) -> CoverHead:
    number = document_number(kind, crew, now.date())
    return CoverHead(db.company, crew, number, actor.display_name, now.date())


def _words(short: Iterable[ShortTask]) -> tuple[str, ...]:
    return tuple(one.words for one in short)


def _task(task: CoveredTask) -> str:
    return f"{task.id} {task.title}"


def _wanted(ask: PlanAsk) -> str:
    people = "as many as the register asks for" if ask.cover is None else f"{ask.cover} each"
    away = ", also with any one person away" if ask.any_one_away else ""
    return f"{', '.join(ask.tasks)}: {people}{away}"


def _line(shown: LineShown) -> PlannedLine:
    return PlannedLine(
        person=shown.person,
        task=_task(shown.task),
        means=shown.line.means.value,
        weeks=shown.line.weeks,
        responsible=shown.responsible,
        due=shown.line.due,
        done=shown.done,
        assigned=tuple(title for title, _ in shown.assigned),
    )
