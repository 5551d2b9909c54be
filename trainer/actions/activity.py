"""What the log tells of people's work, ready to become statements for other systems.

An answer of a sitting waits until its sitting has ended, so that no mark is told before the end.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.published import prepared
from trainer.actions.unaided import must_not_sit
from trainer.competency.sequential import Decision
from trainer.drills import ask
from trainer.errors import TrainerError
from trainer.exports.activity.statements import Answered, Decided, Entry, Item, Qualified
from trainer.exports.packets import ActivityPacket
from trainer.records import canonical
from trainer.store import attempts, events, people, qualifications, sittings
from trainer.store.sittings import How

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.actions.actor import Actor
    from trainer.exports.activity.statements import Done
    from trainer.store.attempts import Address
    from trainer.store.events import Event
    from trainer.store.session import Database, Unit
    from trainer.store.sittings import Sitting

_ANSWER = "sitting:answer"
# An answer may be the one that ends the sitting.
_MAY_END_A_SITTING = (_ANSWER, "sitting:begin", "sitting:time_up", "sitting:break_off")


def of_person(db: Database, actor: Actor, person_id: str) -> ActivityPacket:
    """Return what a person did, oldest first: their own, or of somebody whose attempts the actor may read.

    Raises:
        NotFound: there is no such person for this actor.
        SittingUnderWay: it is the actor's own, and they sit.
    """
    with db.reading() as unit:
        person = people.by_id(unit, person_id)
        own = person_id == actor.person_id and actor.may(Permission.RECORD_OWN)
        if person is None or not (own or actor.may_for(Permission.ATTEMPT_READ, crew=person.crew)):
            raise NotFound("person", person_id)
        if own:
            must_not_sit(unit, actor)
        told = (done for _, made in since(unit, db.home, person_id=person_id) for done in made)
        return ActivityPacket(person_id, tuple(sorted(told, key=lambda done: done.entry.number)))


def since(
    unit: Unit, home: str, number: int = 0, *, person_id: str = ""
) -> Iterator[tuple[int, tuple[Done, ...]]]:
    """Yield each entry of the log after a number that tells something of people's work, with what it tells.

    Args:
        unit: the transaction.
        home: address of the installation.
        number: the last entry that is known already.
        person_id: whose work; everybody's unless given.
    """
    for event in events.since(unit, number):
        told = tuple(_told(unit, home, event, person_id))
        if told:
            yield event.number, told


def _told(unit: Unit, home: str, event: Event, person_id: str) -> Iterator[Done]:
    if event.action == "practice:answer":
        if person_id in ("", event.person_id):
            yield from _practised(unit, home, event)
    elif event.action == "qualification:sign":
        yield from (done for done in _signed(unit, home, event) if person_id in ("", done.person))
    elif event.action in _MAY_END_A_SITTING:
        payload = canonical.read(event.payload)
        found = sittings.by_id(unit, payload["sitting"])
        if found is None or person_id not in ("", found.person_id):
            return
        if found.end is not None and _ends(event, payload):
            yield from _sat(unit, home, found)
            yield from _decided(home, event, found, unit)


def _ends(event: Event, payload: Mapping[str, Any]) -> bool:
    return "ended" in payload or event.action in ("sitting:time_up", "sitting:break_off")


def _practised(unit: Unit, home: str, event: Event) -> Iterator[Answered]:
    kept = attempts.by_id(unit, canonical.read(event.payload)["attempt"])
    if kept is None:
        return
    yield Answered(
        Entry(home, event.number, kept.at),
        kept.person_id,
        _item(unit, kept.module_id, kept.address, kept.skill),
        kept.answer,
        kept.right,
        kept.critical,
        kept.credit_thousandths,
        str(kept.mark["headline"]),
        kept.started_at,
        counts=kept.counts,
    )


def _item(unit: Unit, module_id: str, address: Address, skill: str) -> Item:
    """Return which question was answered; a revision or a kind that is gone hides nothing of what was done."""
    try:
        module = prepared(unit, address.revision).module
        question = ask(module, address.kind, address.size or None, address.seed)
    except TrainerError:
        question = None
    return Item(module_id, address.revision, address.kind, address.size, address.seed, skill, question)


def _sat(unit: Unit, home: str, found: Sitting) -> Iterator[Answered]:
    """Yield the answers of a sitting that has ended, each by the entry that it was kept with."""
    entries = {}
    for event in events.of_person(unit, found.person_id, (_ANSWER,)):
        payload = canonical.read(event.payload)
        if payload["sitting"] == found.id:
            entries[payload["position"]] = (event, payload)
    for asked in sittings.questions(unit, found.id):
        if asked.answer is None or asked.position not in entries:
            continue
        event, payload = entries[asked.position]
        yield Answered(
            Entry(home, event.number, asked.answer.at),
            found.person_id,
            _item(unit, found.module_id, asked.address, asked.skill),
            asked.answer.answer,
            asked.answer.right,
            asked.answer.critical,
            payload["credit_thousandths"],
            str(asked.answer.mark["headline"]),
            asked.asked_at,
            sitting=found.id,
        )


def _decided(home: str, event: Event, found: Sitting, unit: Unit) -> Iterator[Decided]:
    """Yield the element classes that this sitting asked for and that are decided at its end."""
    if found.end is None or found.end.how is How.BROKEN_OFF:
        return
    asked = {question.element_class for question in sittings.questions(unit, found.id)}
    for result in found.end.results:
        decision = Decision(result["decision"])
        if result["element_class"] in asked and decision is not Decision.GO_ON:
            yield Decided(
                Entry(home, event.number, found.end.at),
                found.person_id,
                found.id,
                found.module_id,
                found.revision,
                result["element_class"],
                result["title"],
                decision is Decision.PASS,
                result["attempts"],
                result["failures"],
                result["sentence"],
            )


def _signed(unit: Unit, home: str, event: Event) -> Iterator[Qualified]:
    record = canonical.read(event.payload)["record"]
    kept = qualifications.by_number(unit, record["number"])
    if kept is None:
        return
    yield Qualified(
        Entry(home, event.number, kept.signed_at),
        kept.person_id,
        kept.signed_by,
        kept.number,
        kept.task_id,
        str(record["task_title"]),
        date.fromisoformat(record["valid_until"]),
    )
