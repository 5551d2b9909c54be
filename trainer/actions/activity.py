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
from trainer.exports.activity.done import (
    Answered,
    Decided,
    Entry,
    Evaluated,
    Halted,
    Item,
    Qualified,
    Sat,
    Undone,
    Watched,
)
from trainer.exports.packets import ActivityPacket
from trainer.records import canonical
from trainer.records.methods import Method
from trainer.records.observation import StepMark
from trainer.store import attempts, events, modules, people, qualifications, sittings, tasks
from trainer.store.sittings import How

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from trainer.actions.actor import Actor
    from trainer.exports.activity.done import Done
    from trainer.store.attempts import Address
    from trainer.store.events import Event
    from trainer.store.session import Database, Unit
    from trainer.store.sittings import Sitting, SittingEnd

_ANSWER, _SUSPEND = "sitting:answer", "qualification:suspend"
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
    if event.is_destroyed:
        return
    if event.action == "practice:answer":
        if person_id in ("", event.person_id):
            yield from _practised(unit, home, event)
    elif event.action in _MADE:
        made = _MADE[event.action](unit, home, event)
        yield from (done for done in made if person_id in ("", done.person))
    elif event.action in _MAY_END_A_SITTING:
        payload = canonical.read(event.payload)
        found = sittings.by_id(unit, payload["sitting"])
        if found is None or person_id not in ("", found.person_id):
            return
        if found.end is not None and _ends(event, payload):
            yield from _sat(unit, home, found)
            yield from _decided(home, event, found, unit)
            yield _ended(home, event, found, found.end)


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


def _ended(home: str, event: Event, found: Sitting, end: SittingEnd) -> Sat:
    decisions = {Decision(result["decision"]) for result in end.results}
    passed = decisions == {Decision.PASS}
    return Sat(
        Entry(home, event.number, end.at),
        found.person_id,
        found.id,
        found.module_id,
        found.revision,
        passed or (False if Decision.NOT_READY in decisions else None),
        whole=end.how in (How.DECIDED, How.FULL),
        broken_off=end.how is How.BROKEN_OFF,
    )


def _watched(unit: Unit, home: str, event: Event) -> Iterator[Watched]:
    record = canonical.read(event.payload)["record"]
    module = modules.by_revision(unit, record["revision"])
    marked = [step["mark"] for step in record["steps"] if step["mark"]]
    yield Watched(
        Entry(home, event.number, event.at),
        record["person"],
        record["evaluator"],
        record["number"],
        record["module"],
        module.title if module else record["module"],
        record["revision"],
        record["size"],
        len(marked),
        record["order_works"] and StepMark.WRONG.value not in marked,
    )


def _evaluated(unit: Unit, home: str, event: Event) -> Iterator[Evaluated]:
    told = canonical.read(event.payload)
    yield Evaluated(
        Entry(home, event.number, event.at),
        told["person"],
        event.person_id,
        told["evaluation"],
        told["task"],
        _title(unit, told["task"]),
        told["module"],
        told["revision"],
        told["evaluated_on"],
        tuple(Method(name).paragraph for name in told["methods"]),
        told["abnormal_passed"],
        told["passed"],
    )


def _halted(unit: Unit, home: str, event: Event) -> Iterator[Halted]:
    told = canonical.read(event.payload)
    yield Halted(
        Entry(home, event.number, event.at),
        told["person"],
        event.person_id,
        told["qualification"],
        told["task"],
        _title(unit, told["task"]),
        told["on"],
        ended=event.action != _SUSPEND,
    )


def _undone(unit: Unit, home: str, event: Event) -> Iterator[Undone]:
    """Yield that a suspension was unfounded; what was told of it is void."""
    told = canonical.read(event.payload)
    for begun in events.by_action(unit, (_SUSPEND,)):
        if canonical.read(begun.payload)["event"] == told["about"]:
            here, there = Entry(home, event.number, event.at), Entry(home, begun.number, begun.at)
            yield Undone(here, told["person"], event.person_id, there)


def _title(unit: Unit, task_id: str) -> str:
    task = tasks.by_id(unit, task_id)
    return task.title if task else ""


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


_MADE: Mapping[str, Callable[[Unit, str, Event], Iterator[Done]]] = {
    "qualification:sign": _signed,
    "observation:close": _watched,
    "evaluation:record": _evaluated,
    _SUSPEND: _halted,
    "qualification:withdraw": _halted,
    "qualification:stop": _halted,
    "qualification:lift": _undone,
}
