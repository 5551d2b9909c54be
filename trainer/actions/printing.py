"""Printing a sheet: the packet of each kind of export from what is kept, and the file that comes of it."""

from __future__ import annotations

import re
from datetime import date
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from trainer.actions import activity, cover_papers, person_data, question_bank, record_papers
from trainer.actions import earlier as earlier_room
from trainer.actions.actor import NotFound
from trainer.actions.crew import crew_sheet, lapses
from trainer.actions.evaluate import task_of
from trainer.actions.inspector_packet import evidence
from trainer.actions.permissions import Permission, sees_every_crew
from trainer.actions.published import in_force, prepared
from trainer.actions.signed_records import may_read_record
from trainer.actions.unaided import must_not_sit
from trainer.actions.views import PrintedFile
from trainer.exports import EXPORTS
from trainer.exports.packets import (
    BenchDayPacket,
    EarlierPacket,
    Held,
    JobCardPacket,
    Lapse,
    LapseListPacket,
    PocketCard,
    PocketCardPacket,
)
from trainer.exports.table_file import BOM
from trainer.exports.words import document_number
from trainer.records import canonical, key_file
from trainer.records.qualification import ENDS_SOON_DAYS, MARK
from trainer.store import earlier, people, qualifications

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

# Stands for every crew that somebody may see.
EVERY_CREW = "*"


def print_sheet(
    db: Database, actor: Actor, kind: str, subject: str, *, paper: str, now: datetime, bom: bool = True
) -> PrintedFile:
    """Return a printed sheet, or the same as data.

    Args:
        db: the database.
        actor: who prints.
        kind: name of the export, one of `trainer.exports.EXPORTS`.
        subject: what the kind is about, as its SUBJECT says: number of the record or the person, name of the crew (a star
            for all, where it is about what lapses; for a sign-in sheet a slash and the module behind it, and if wanted
            another and the day, and another and who approved it), or id of the module with the size behind it
            (`piston-valve DN 80`); without a size the first one of the module.
        paper: `a4` or `us-letter`.
        now: the time.
        bom: whether a CSV file begins with the mark by which spreadsheets know its letters.

    Raises:
        NotFound: there is no such kind, or no such subject for this actor.
        NotAllowed: this actor may not print that.
    """
    export, packet_of = EXPORTS.get(kind), _PACKETS.get(kind)
    if export is None or packet_of is None:
        raise NotFound("printed sheet", kind)
    data = export.write(packet_of(db, actor, subject, now), paper=paper)
    if not bom:
        data = data.removeprefix(BOM)
    return PrintedFile(f"{_file_name(kind, subject)}.{export.ENDING.lstrip('.')}", export.MEDIA_TYPE, data)


def _records(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    return record_papers.papers(db, actor, subject, today=now.date())


def _evidence(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    return evidence(db, actor, subject, now=now)


def _crew(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    return crew_sheet(db, actor, subject, now=now)


def _job(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    actor.must(Permission.MODULE_READ)
    module_id, _, size = subject.strip().partition(" ")
    with db.reading() as unit:
        must_not_sit(unit, actor)
        revision = in_force(unit, module_id)
        module = prepared(unit, revision.revision).module
        span = task_of(unit, revision.task_id).conditions.span
    return JobCardPacket(
        module=module,
        size=size.strip() or next(iter(module.sizes), ""),
        company=db.company,
        issued_by=actor.display_name,
        approved_by="",
        plant_item="",
        issued_on=now.date(),
        directed=span.sentence,
    )


def _lapses(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    """Return the packet of what lapses; the subject is a crew, or a star for all that the actor may see."""
    crew = subject.strip()
    every = crew == EVERY_CREW
    lines = lapses(db, actor, crew=None if every else crew, now=now)
    if not every:
        _crew_must_be_there(db, actor, crew)
    whole = actor.is_system or sees_every_crew(actor.roles, Permission.CREW_READ)
    named = ("All crews" if whole else actor.crew) if every else crew
    return LapseListPacket(
        company=db.company,
        crew=named,
        document=document_number("LL", named, now.date()),
        issued_by=actor.display_name,
        on=now.date(),
        ahead_days=ENDS_SOON_DAYS,
        lines=tuple(
            Lapse(
                line.valid_until,
                line.days,
                line.person_name,
                f"{line.task_id} {line.task_title}",
                line.number,
                line.crew,
                line.span.sentence,
            )
            for line in lines
        ),
    )


def _bench_day(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    """Return the packet of a day at the bench; slashes part crew, module, day and who approved the sheet."""
    crew, module_id, day, approved_by = (part.strip() for part in (*subject.split("/", 3), "", "", "")[:4])
    try:
        on = date.fromisoformat(day) if day else now.date()
    except ValueError as problem:
        raise NotFound("day", day) from problem
    members = _crew_must_be_there(db, actor, crew)
    with db.reading() as unit:
        revision = in_force(unit, module_id)
        span = task_of(unit, revision.task_id).conditions.span
    return BenchDayPacket(
        company=db.company,
        crew=crew,
        number=document_number("SI", crew, on),
        issued_by=actor.display_name,
        on=on,
        module=revision.module_id,
        module_title=revision.title,
        document=revision.document,
        task=revision.task_id,
        people=tuple((person.id, person.display_name, person.grade) for person in members),
        directed=span.sentence,
        approved_by=approved_by,
    )


def _pocket_cards(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    """Return the packet of pocket cards; the subject is a person, or a crew for a card each."""
    named, today = subject.strip(), now.date()
    with db.reading() as unit:
        person = people.by_id(unit, named)
        whose = (person,) if person else _crew_must_be_there(db, actor, named)
        readable = [one for one in whose if may_read_record(actor, one)]
        if not readable:
            raise NotFound("person or crew", subject)
        cards = tuple(
            PocketCard(one.display_name, one.id, one.crew, _held(unit, one.id, today)) for one in readable
        )
    return PocketCardPacket(
        company=db.company,
        about=person.display_name if person else named,
        number=person.id if person else document_number("PC", named, now.date()),
        on=today,
        issued_by=actor.display_name,
        log=key_file.read(db.keys).name if key_file.exists(db.keys) else "",
        cards=cards,
    )


def _held(unit: Unit, person_id: str, today: date) -> tuple[Held, ...]:
    """Return what somebody may do alone on a day, by task: our own records, and those from earlier papers."""
    lines = [
        Held(kept.task_id, str(kept.record["task_title"]), kept.last_day, kept.number, _digest(kept.record))
        for kept in qualifications.of_person(unit, person_id)
        if kept.holds_on(today)
    ]
    for paper in earlier.of_person(unit, person_id):
        if paper.stands and paper.term.holds_on(today):
            told = paper.record
            title = f"{told.task_title} {MARK}"
            lines.append(Held(told.task, title, told.valid_until, told.number, _digest(told.as_data())))
    return tuple(sorted(lines, key=lambda line: line.task))


def _digest(data: Mapping[str, Any]) -> bytes:
    return sha256(canonical.written(data).encode()).digest()


def _activity(db: Database, actor: Actor, subject: str, _now: datetime) -> Any:
    return activity.of_person(db, actor, subject.strip())


def _person_data(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    return person_data.everything(db, actor, subject.strip(), now=now)


def _questions(db: Database, actor: Actor, subject: str, _now: datetime) -> Any:
    return question_bank.wanted(db, actor, subject)


def _earlier(db: Database, actor: Actor, subject: str, now: datetime) -> Any:
    kept = earlier_room.record(db, actor, subject.strip(), now=now)
    return EarlierPacket(kept.record, kept.state, kept.checked, kept.standing is not None)


def _crew_must_be_there(db: Database, actor: Actor, crew: str) -> tuple[Person, ...]:
    """Return the people of a crew.

    Raises:
        NotFound: there is no such crew for this actor.
    """
    with db.reading() as unit:
        members = people.everybody(unit, crew=crew)
    if not crew or not members or not actor.may_for(Permission.CREW_READ, crew=crew):
        raise NotFound("crew", crew)
    return tuple(members)


_PACKETS: Mapping[str, Callable[[Database, Actor, str, datetime], Any]] = {
    "activity_statements": _activity,
    "bench_card": _job,
    "cover_sheet": cover_papers.sheet,
    "crew_csv": _crew,
    "crew_sheet": _crew,
    "crew_xlsx": _crew,
    "earlier_record": _earlier,
    "inspector_packet": _evidence,
    "forecast_sheet": cover_papers.forecast,
    "job_card": _job,
    "lapse_csv": _lapses,
    "lapse_list": _lapses,
    "lapse_xlsx": _lapses,
    "parts_kit": _job,
    "person_data": _person_data,
    "plan_sheet": cover_papers.planned,
    "pocket_card": _pocket_cards,
    "qualification_record": _records,
    "question_bank": _questions,
    "sign_in_sheet": _bench_day,
}


def _file_name(kind: str, subject: str) -> str:
    plain = re.sub(r"[^A-Za-z0-9]+", "-", subject).strip("-").lower()
    return f"{kind.replace('_', '-')}-{plain}" if plain else kind.replace("_", "-")
