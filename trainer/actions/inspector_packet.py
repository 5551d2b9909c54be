"""The inspector's packet of a person, a crew or a covered task in a period: what was kept, proven by the log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from trainer.actions import kept_record, ledger, packet_evidence
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.signed_records import may_read_record, proven
from trainer.errors import TrainerError
from trainer.exports import EXPORTS
from trainer.exports.evidence import InspectorPacket
from trainer.records import key_file, merkle, signed_note
from trainer.records.packet import Growth
from trainer.store import earlier, keeping, people, qualifications, tasks
from trainer.store import ledger as kept_ledger

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.exports.evidence import Behind
    from trainer.store.earlier import Earlier
    from trainer.store.people import Person
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Database, Unit


class PeriodUnreadable(TrainerError):
    """The period of a packet is not two days, the first before the last."""

    def __init__(self) -> None:
        super().__init__(
            "Name the first and the last day as 2026-01-01 2026-12-31, the first before the last."
        )


@dataclass(frozen=True)
class _About:
    words: str
    people: tuple[Person, ...]
    task: str = ""


def evidence(db: Database, actor: Actor, subject: str, *, now: datetime) -> InspectorPacket:
    """Return the packet of a subject with two days behind it (`P-0007 2026-01-01 2026-12-31`).

    Everything signed since the last checkpoint is signed first, so that every entry in the packet is proven.

    Args:
        db: the database.
        actor: who asks.
        subject: number of a person, name of a crew or number of a covered task, and first and last day.
        now: the time.

    Raises:
        NotFound: there is no such subject for this actor.
        NotAllowed: this actor may not read the log.
        PeriodUnreadable: the two days are missing or in the wrong order.
        KeyFileUnusable: there is no key to sign the packet with.
    """
    actor.must(Permission.LEDGER_READ)
    named, first, last = _period(subject)
    key = key_file.read(db.keys)
    with db.writing() as unit:
        newest = ledger.sign(unit, key, now=now)
    with db.reading() as unit:
        about, log = _about(unit, actor, named), packet_evidence.read_log(unit)
        held = list(_held(unit, about, first, last))
        records = tuple(proven(db, unit, kept_record.restored(kept.record)) for kept in held)
        behind = {
            kept.number: packet_evidence.behind(unit, log, kept, signed.record)
            for kept, signed in zip(held, records, strict=True)
        }
        others = tuple(
            proven(db, unit, kept_record.restored(kept.record))
            for kept in _evaluators(unit, behind.values(), {one.number for one in held})
        )
        revisions = tuple(packet_evidence.revisions(unit, log, (one.record.revision for one in records)))
        policies = tuple(packet_evidence.policies_of(unit, log, records, behind.values()))
        papers = tuple(packet_evidence.paper(log, kept) for kept in _on_paper(unit, about, first, last))
        numbers = {one.entry for one in (*records, *others)}
        numbers |= {told.number for shown in papers for told in shown.told}
        numbers |= packet_evidence.entries_of(behind.values(), revisions, policies)
        return InspectorPacket(
            company=db.company,
            about=about.words,
            first=first,
            last=last,
            made_on=now.date(),
            issued_by=actor.display_name,
            records=records,
            others=others,
            papers=papers,
            behind=behind,
            print_record=EXPORTS["qualification_record"].write,
            entries=tuple(ledger.proofs(unit, sorted(numbers - {0}), newest)),
            growth=tuple(_growth(unit, newest)),
            revisions=revisions,
            policies=policies,
            keys=tuple(str(verifier) for verifier in key_file.verifiers(db.keys)),
            key=key,
            gone=tuple(_gone(unit, about, first)),
        )


def _period(subject: str) -> tuple[str, date, date]:
    try:
        named, first, last = subject.rsplit(None, 2)
        begin, end = date.fromisoformat(first), date.fromisoformat(last)
    except ValueError as problem:
        raise PeriodUnreadable from problem
    if begin > end:
        raise PeriodUnreadable
    return named.strip(), begin, end


def _about(unit: Unit, actor: Actor, named: str) -> _About:
    person = people.by_id(unit, named)
    if person is not None and may_read_record(actor, person):
        return _About(f"{person.display_name}, {person.id}", (person,))
    everybody = [one for one in people.everybody(unit, with_retired=True) if may_read_record(actor, one)]
    crew = tuple(one for one in everybody if one.crew == named)
    if named and crew:
        return _About(f"crew {named}", crew)
    task = tasks.by_id(unit, named)
    if task is not None:
        return _About(f"{task.id} {task.title}", tuple(everybody), task.id)
    raise NotFound("person, crew or covered task", named)


def _held(unit: Unit, about: _About, first: date, last: date) -> Iterator[Qualification]:
    for person in about.people:
        for kept in qualifications.of_person(unit, person.id):
            held = kept.valid_from <= last and kept.last_day >= first
            if held and about.task in ("", kept.task_id):
                yield kept


def _on_paper(unit: Unit, about: _About, first: date, last: date) -> Iterator[Earlier]:
    """Yield what was transcribed from earlier papers, held against them, and was good for a day of the time."""
    for person in about.people:
        for kept in earlier.of_person(unit, person.id):
            held = kept.stands and kept.term.valid_from <= last and kept.term.last_day >= first
            if held and about.task in ("", kept.record.task):
                yield kept


def _gone(unit: Unit, about: _About, first: date) -> Iterator[str]:
    """Yield a sentence for each person and task of which something was destroyed since the packet's first day."""
    for person in about.people:
        for word in keeping.confirmed(unit, person_id=person.id):
            if word.on >= first and about.task in ("", word.task_id):
                yield (
                    f"{person.display_name}, {word.task_id}: kept no longer since {word.on.isoformat()}. What was there was "
                    "destroyed by two people after it had been kept long enough; the log tells it."
                )


def _growth(unit: Unit, newest: str) -> Iterator[Growth]:
    node, size = kept_ledger.tree(unit), _size(newest)
    for note in kept_ledger.every_checkpoint(unit):
        if note != newest:
            yield Growth(note, newest, merkle.consistency_path(_size(note), size, node))


def _size(note: str) -> int:
    return signed_note.checkpoint_in(signed_note.text_of(note)).size


def _evaluators(unit: Unit, behind: Iterable[Behind], known: set[str]) -> Iterator[Qualification]:
    """Yield the qualifications by which somebody evaluated, those that are in the packet already left out."""
    for number in sorted({right.record for one in behind for right in one.rights} - known - {""}):
        kept = qualifications.by_number(unit, number)
        if kept is not None:
            yield kept
