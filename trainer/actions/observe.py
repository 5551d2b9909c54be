"""Observing at the bench: begin, mark step by step, give up, close with a signature.

Marks are entries that are never changed, each under a ticket of its own: a device without a connection keeps them and
hands them in later, as often as it likes.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from trainer.actions import accounts, bench, changes, evaluator, journal
from trainer.actions.actor import NotFound
from trainer.actions.assign import PersonHasLeft
from trainer.actions.bench import ObservationUnfit
from trainer.actions.evaluate import task_of
from trainer.actions.people import found, found_for
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.drills import observed
from trainer.errors import TrainerError
from trainer.procedure.window import prepare
from trainer.records import canonical
from trainer.records.life_cycle import Act
from trainer.records.observation import MEANING_OBSERVED
from trainer.store import observations, people, photographs

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.observation_views import ObservationView
    from trainer.procedure.model import Module
    from trainer.records.observation import StepSeen
    from trainer.records.photograph import Pictured
    from trainer.store.observations import Observation
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

Entry = observations.Entry
LONGEST_TICKET = 80
LONGEST_NOTE = 500
LONGEST_RESULT = 2000
MOST_ENTRIES = 2000
# A device whose clock runs ahead by more than this, or behind the beginning of the job, is not believed.
_CLOCK_SLACK = timedelta(minutes=2)


class ObservationEnded(TrainerError):
    """The observation was closed or given up meanwhile; what comes later is not part of it."""

    def __init__(self, kept: Observation) -> None:
        at = kept.closed_at or kept.given_up_at
        how = "signed" if kept.closed_at else "given up"
        when = f" on {at:%Y-%m-%d at %H:%M} UTC" if at else ""
        super().__init__(
            f"This observation was {how}{when}; what was marked after that is not part of it and stays on this device."
        )


def begin(
    db: Database,
    actor: Actor,
    person_id: str,
    module_id: str,
    size: str,
    *,
    ticket: str,
    beside: int | None = None,
    now: datetime,
) -> int:
    """Return the number of the observation begun; the same ticket again gives the same one.

    Args:
        db: the database.
        actor: the evaluator who watches.
        person_id: whose work it is.
        module_id: the procedure, at its revision in force.
        size: the size on the bench, "" where there is none.
        ticket: one of its own for each form shown.
        beside: number of another evaluator's observation of the very same job.
        now: the time.

    Raises:
        NotFound: no such person for this actor, no such module or size, or no such observation beside.
        NotAllowed: this actor may not evaluate this person for the task today.
        LifeStepRefused: nobody may as things are with this person; no module that serves the task is assigned.
        ObservationUnfit: the ticket is missing, or the other observation is not of this job.
    """
    must_have_ticket(ticket)
    with db.writing() as unit:
        people.lock(unit, actor.person_id)
        earlier = observations.by_ticket(unit, actor.person_id, ticket)
        if earlier is not None:
            return earlier.id
        person, values = of_job(unit, actor, person_id, module_id, size)
        task = task_of(unit, values["task_id"])
        evaluator.must(unit, Act.OBSERVE, actor, person, task, day=now.date(), today=now.date())
        other = _same_job(unit, actor, beside, values)
        kept = observations.begin(
            unit, **values, ticket=ticket, evaluator_id=actor.person_id, beside=other, begun_at=now
        )
        note(
            unit,
            actor,
            "observation:begin",
            kept,
            now,
            ticket=ticket,
            task=kept.task_id,
            beside=other or 0,
        )
        return kept.id


def of_job(
    unit: Unit, actor: Actor, person_id: str, module_id: str, size: str
) -> tuple[Person, dict[str, Any]]:
    """Return whose work it is, and what an observation of it says of the job.

    Raises:
        NotFound: no such person for this actor, no such module or size.
        PersonHasLeft: they work here no more.
    """
    person = found_for(unit, actor, Permission.OBSERVATION_RECORD, person_id)
    if person.retired_at is not None:
        raise PersonHasLeft(person.display_name)
    revision = in_force(unit, module_id)
    sizes = prepared(unit, revision.revision).module.sizes
    if sizes and not size:
        raise ObservationUnfit("Say which size is on the bench.")
    if size not in (sizes or ("",)):
        raise NotFound("size", size)
    return person, {
        "person_id": person_id,
        "module_id": module_id,
        "revision": revision.revision,
        "task_id": revision.task_id,
        "size": size,
    }


def mark(db: Database, actor: Actor, observation_id: int, entries: Sequence[Entry], *, now: datetime) -> int:
    """Keep marks, and return how many of them were new; a ticket handed in twice is kept once.

    Args:
        db: the database.
        actor: the evaluator whose observation it is.
        observation_id: which one.
        entries: marks in the order in which they were made, each at the time at the bench.
        now: the time.

    Raises:
        NotFound: there is no such observation of this actor.
        ObservationEnded: it was closed or given up, and something of this is new.
        ObservationUnfit: a ticket, a step or a note cannot be kept.
    """
    with db.writing() as unit:
        kept = own(unit, actor, observation_id)
        checked = fit_entries(prepared(unit, kept.revision).module, entries, kept.begun_at, now)
        if not kept.is_open:
            raise ObservationEnded(kept)
        new = observations.enter(unit, observation_id, checked, kept_at=now)
        if new:
            note(unit, actor, "observation:mark", kept, now, entries=entries_told(new))
        return len(new)


def fit_entries(
    module: Module, entries: Sequence[Entry], begun: datetime, now: datetime
) -> tuple[Entry, ...]:
    """Return entries as they can be kept; a time before the job began or after now becomes one or the other.

    Raises:
        ObservationUnfit: a ticket, a step or a note cannot be kept.
    """
    if len(entries) > MOST_ENTRIES:
        raise ObservationUnfit(f"No more than {MOST_ENTRIES:,} marks are taken at once.")
    for entry in entries:
        must_have_ticket(entry.ticket)
        if entry.seen.step not in module.steps:
            raise ObservationUnfit(f"The procedure has no step '{entry.seen.step}'.")
        if len(entry.seen.note) > LONGEST_NOTE:
            raise ObservationUnfit(f"A note to a step holds {LONGEST_NOTE} characters at most.")
    return tuple(
        replace(entry, seen=replace(entry.seen, at=believed(entry.seen.at, begun, now))) for entry in entries
    )


def believed(at: datetime, begun: datetime, now: datetime) -> datetime:
    """Return a time that a device tells, or the nearest one that can be true: none before the job began, none to come."""
    return now if at > now + _CLOCK_SLACK else max(at, begun)


def must_have_ticket(ticket: str) -> None:
    """Let pass a ticket that can be kept.

    Raises:
        ObservationUnfit: it is empty or too long.
    """
    if not 0 < len(ticket) <= LONGEST_TICKET:
        raise ObservationUnfit(f"A mark needs a ticket of 1 to {LONGEST_TICKET} characters.")


def give_up(db: Database, actor: Actor, observation_id: int, because: str, *, now: datetime) -> None:
    """End an observation that comes to nothing; its marks stay on record and say nothing of anybody's skill.

    Raises:
        NotFound: there is no such observation of this actor.
        ObservationEnded: it has ended.
        ObservationUnfit: no reason is given, or one too long.
    """
    reason = because.strip()
    if not 0 < len(reason) <= LONGEST_NOTE:
        raise ObservationUnfit(f"Say in 1 to {LONGEST_NOTE} characters why it is given up.")
    with db.writing() as unit:
        kept = own(unit, actor, observation_id)
        if not kept.is_open:
            raise ObservationEnded(kept)
        observations.give_up(unit, observation_id, reason, now)
        note(unit, actor, "observation:give_up", kept, now, because=reason)


def close(
    db: Database,
    actor: Actor,
    observation_id: int,
    *,
    order: Iterable[str],
    result: str,
    password: str,
    now: datetime,
) -> ObservationView:
    """Close an observation under the evaluator's signature; nothing of it changes afterwards.

    Args:
        db: the database.
        actor: the evaluator whose observation it is.
        observation_id: which one.
        order: the marked steps in the order in which they were done; empty for the order in which they were marked.
        result: what was seen, in words.
        password: the evaluator's password again.
        now: the time.

    Returns:
        The observation, with the session's new token.

    Raises:
        NotFound: there is no such observation of this actor.
        NotAllowed: the evaluator had no right to evaluate on that day.
        LifeStepRefused: nobody may as things are with this person; no module that serves the task is assigned.
        ObservationEnded: it has ended.
        ObservationUnfit: nothing is marked, the order leaves out steps, or the result is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    wanted, said = tuple(order), result.strip()
    with db.reading() as unit:
        _must_be_fit(unit, actor, observation_id, wanted, said, now.date(), lock=False)
    actor = accounts.signing(db, actor, password, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        kept, basis, seen = _must_be_fit(unit, actor, observation_id, wanted, said, now.date())
        record = _record(unit, actor, kept, seen, said, basis, now)
        observations.close(unit, observation_id, record, now)
        closed = observations.by_id(unit, observation_id)
        if closed is None:
            raise NotFound("observation", observation_id)
        digest = hashlib.sha256(closed.record_text.encode()).hexdigest()
        signed = canonical.read(closed.record_text)
        note(
            unit,
            actor,
            "observation:close",
            closed,
            now,
            record=signed,
            record_sha256=digest,
            session=actor.session,
        )
        changes.settle(unit, actor, closed.person_id, closed.module_id, now=now)
        return replace(bench.shown_as(unit, actor, closed), token=token)


def as_data(seen: StepSeen) -> dict[str, str]:
    """Return a mark as plain JSON values."""
    return {
        "step": seen.step,
        "mark": seen.mark.value if seen.mark else "",
        "note": seen.note,
        "at": seen.at.isoformat(timespec="seconds"),
    }


def entries_told(entries: Iterable[Entry]) -> list[dict[str, Any]]:
    """Return kept marks as the log tells them: each with its number, its ticket and its time to the microsecond."""
    return [
        {
            **as_data(entry.seen),
            "at": entry.seen.at.isoformat(),
            "number": entry.number,
            "ticket": entry.ticket,
        }
        for entry in entries
    ]


def photograph_data(pictured: Pictured) -> dict[str, str]:
    """Return as plain JSON values which photograph goes with which step."""
    return {
        "step": pictured.step,
        "sha256": pictured.sha256,
        "at": pictured.at.isoformat(timespec="seconds"),
    }


def day_of_work(kept: Observation) -> date:
    """Return the day on which the work was watched."""
    return kept.filled_on or kept.begun_at.date()


def _must_be_fit(
    unit: Unit,
    actor: Actor,
    observation_id: int,
    order: Sequence[str],
    result: str,
    today: date,
    *,
    lock: bool = True,
) -> tuple[Observation, str, tuple[StepSeen, ...]]:
    kept = own(unit, actor, observation_id, lock=lock)
    if not kept.is_open:
        raise ObservationEnded(kept)
    seen = bench.in_order(bench.standing_of(unit, kept), order)
    if not any(item.mark for item in seen):
        raise ObservationUnfit("Nothing is marked yet; there is nothing to sign for.")
    if not result:
        raise ObservationUnfit("Write down what you saw; marks alone are no result.")
    if len(result) > LONGEST_RESULT:
        raise ObservationUnfit(f"The result holds {LONGEST_RESULT:,} characters at most.")
    person, task = found(unit, kept.person_id), task_of(unit, kept.task_id)
    basis = evaluator.must(unit, Act.OBSERVE, actor, person, task, day=day_of_work(kept), today=today)
    return kept, basis, seen


def _record(
    unit: Unit,
    actor: Actor,
    kept: Observation,
    seen: Sequence[StepSeen],
    result: str,
    basis: str,
    now: datetime,
) -> dict[str, Any]:
    published = prepared(unit, kept.revision)
    procedure = prepare(published.module, kept.size or None)
    order = observed.order_carried_out(procedure, [item.step for item in seen if item.mark])
    transcriber = people.by_id(unit, kept.transcribed_by)
    return {
        "record": "observation",
        "form": 1,
        "number": kept.id,
        "person": kept.person_id,
        "person_name": found(unit, kept.person_id).display_name,
        "task": kept.task_id,
        "module": kept.module_id,
        "document": published.module.document,
        "revision": kept.revision,
        "size": kept.size,
        "begun": kept.begun_at.isoformat(timespec="seconds"),
        "filled_on": kept.filled_on.isoformat() if kept.filled_on else "",
        "transcribed_by": kept.transcribed_by,
        "transcriber": transcriber.display_name if transcriber else "",
        "steps": [as_data(item) for item in seen],
        "photographs": [photograph_data(one) for one in photographs.of_observation(unit, kept.id)],
        "critical": sorted(observed.critical_steps(procedure)),
        "order_works": order is None or order.legal,
        "first_wrong": order.incident.text if order is not None and order.incident else "",
        "witnessed": [
            {"skill": item.skill, "right": item.right, "critical": item.critical}
            for item in observed.witnessed(procedure, seen)
        ],
        "result": result,
        "evaluator": actor.person_id,
        "evaluator_name": actor.display_name,
        "basis": basis,
        "meaning": MEANING_OBSERVED,
        "at": now.isoformat(timespec="seconds"),
    }


def _same_job(unit: Unit, actor: Actor, beside: int | None, values: dict[str, Any]) -> int | None:
    """Return the number of the job's first observation."""
    if beside is None:
        return None
    other = observations.by_id(unit, beside)
    if other is None or other.person_id != values["person_id"]:
        raise NotFound("observation", beside)
    differs = any(getattr(other, name) != values[name] for name in ("module_id", "revision", "size"))
    if differs or other.given_up_at is not None:
        raise ObservationUnfit("The other observation is of another job; begin this one by itself.")
    same = observations.of_same_work(unit, other.person_id, other.module_id, other.size)
    if any(item.job == other.job and item.evaluator_id == actor.person_id for item in same):
        raise ObservationUnfit("You observe this job already; open the observation that you began.")
    return other.job


def own(unit: Unit, actor: Actor, observation_id: int, *, lock: bool = True) -> Observation:
    """Return an observation of the actor's own as evaluator; `lock` holds it until the transaction ends.

    Raises:
        NotFound: there is no such observation of this actor.
    """
    actor.must(Permission.OBSERVATION_RECORD)
    kept = observations.by_id(unit, observation_id, lock=lock)
    if kept is None or kept.evaluator_id != actor.person_id:
        raise NotFound("observation", observation_id)
    return kept


def note(unit: Unit, actor: Actor, action: str, kept: Observation, now: datetime, **more: Any) -> None:
    """Write down what was done to an observation."""
    journal.note(
        unit,
        actor,
        action,
        at=now,
        observation=kept.id,
        person=kept.person_id,
        module=kept.module_id,
        revision=kept.revision,
        size=kept.size,
        **more,
    )
