"""Entering a paper bench card: who filled it in and when, who entered it; the one who watched signs for it later."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING

from trainer.actions import evaluator, journal
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.bench import ObservationUnfit
from trainer.actions.evaluate import task_of
from trainer.actions.observe import Entry, entries_told, fit_entries, must_have_ticket, of_job
from trainer.actions.permissions import Permission, Role, allowed
from trainer.actions.published import prepared
from trainer.records.life_cycle import Act
from trainer.records.observation import StepMark, StepSeen
from trainer.store import observations, people

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from trainer.actions.actor import Actor
    from trainer.records.qualification import CoveredTask
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

# So many figures of a revision at least are printed on a card and typed from it.
_FIGURES = 8


@dataclass(frozen=True)
class CardRow:
    """One row of a card as typed: the box ticked (None for none), "done as" ("" where the order is the card's), the note."""

    mark: StepMark | None = None
    done_as: str = ""
    note: str = ""


def transcribe(
    db: Database,
    actor: Actor,
    person_id: str,
    module_id: str,
    size: str,
    *,
    evaluator_id: str,
    filled_on: date,
    revision: str,
    rows: Mapping[str, CardRow],
    ticket: str,
    now: datetime,
) -> int:
    """Return the number of the observation that a card becomes; it waits for the signature of who filled it in.

    Args:
        db: the database.
        actor: who enters the card.
        person_id: whose work it is.
        module_id: the procedure.
        size: the size on the card.
        evaluator_id: who watched and filled the card in.
        filled_on: the day on the card.
        revision: the revision printed on the card, its first figures.
        rows: what stands on the card, by step.
        ticket: one of its own for each form shown.
        now: the time.

    Raises:
        NotFound: no such person for this actor, no such module, size or evaluator.
        NotAllowed: the evaluator had no right to evaluate on that day, or the card is of the actor's own work.
        ObservationUnfit: what stands on the card does not fit.
    """
    must_have_ticket(ticket)
    with db.writing() as unit:
        person, values = of_job(unit, actor, person_id, module_id, size)
        if actor.person_id == person_id:
            raise NotAllowed(Permission.OBSERVATION_RECORD, "Nobody enters a card of their own work.")
        people.lock(unit, evaluator_id)
        earlier = observations.by_ticket(unit, evaluator_id, ticket)
        if earlier is not None:
            return earlier.id
        watched_by = people.by_id(unit, evaluator_id)
        if watched_by is None or not allowed(
            (Role(role) for role in watched_by.roles), Permission.OBSERVATION_RECORD
        ):
            raise NotFound("evaluator", evaluator_id)
        _must_be_of_today(filled_on, now.date(), revision, values["revision"])
        task = task_of(unit, values["task_id"])
        _must_be_allowed(unit, actor, watched_by, person, task, filled_on, now.date())
        module = prepared(unit, values["revision"]).module
        begun = datetime.combine(filled_on, time(), tzinfo=UTC)
        entries = _entries(rows, list(module.steps), ticket, begun)
        checked = fit_entries(module, entries, begun, now)
        kept = observations.begin(
            unit,
            **values,
            ticket=ticket,
            evaluator_id=evaluator_id,
            beside=None,
            begun_at=begun,
            filled_on=filled_on,
            transcribed_by=actor.person_id,
        )
        entered = observations.enter(unit, kept.id, checked, kept_at=now)
        journal.note(
            unit,
            actor,
            "observation:transcribe",
            at=now,
            observation=kept.id,
            ticket=ticket,
            task=kept.task_id,
            person=person_id,
            module=module_id,
            revision=kept.revision,
            size=size,
            evaluator=evaluator_id,
            begun=begun.isoformat(),
            filled_on=filled_on.isoformat(),
            entries=entries_told(entered),
        )
        return kept.id


def _must_be_allowed(
    unit: Unit,
    actor: Actor,
    watched_by: Person,
    person: Person,
    task: CoveredTask,
    filled_on: date,
    today: date,
) -> None:
    refused, _ = evaluator.refusal(
        unit,
        Act.OBSERVE,
        watched_by.id,
        person,
        task,
        roles=watched_by.roles,
        day=filled_on,
        today=today,
    )
    if refused is None:
        return
    if isinstance(refused, NotAllowed) and watched_by.id != actor.person_id:
        raise NotAllowed(refused.permission, f"{watched_by.display_name}: {refused}")
    raise refused


def in_order_done(rows: Mapping[str, CardRow], steps: Sequence[str]) -> list[str]:
    """Return the ticked steps in the order in which they were done: "done as" gives a place, the card's order the rest.

    Raises:
        ObservationUnfit: a "done as" is no place among the ticked steps, or two steps claim one.
    """
    ticked = [step for step in steps if step in rows and rows[step].mark is not None]
    places: dict[int, str] = {}
    for step in ticked:
        typed = rows[step].done_as.strip()
        if not typed:
            continue
        place = int(typed) if typed.isdecimal() and len(typed) < 5 else 0
        if not 1 <= place <= len(ticked):
            raise ObservationUnfit(
                f"Step {steps.index(step) + 1}, done as '{typed}': there are {len(ticked)} ticked steps, numbered from 1."
            )
        if place in places:
            first = steps.index(places[place]) + 1
            raise ObservationUnfit(
                f"Steps {first} and {steps.index(step) + 1} cannot both have been done as {place}."
            )
        places[place] = step
    rest = iter([step for step in ticked if step not in places.values()])
    return [places[place] if place in places else next(rest) for place in range(1, len(ticked) + 1)]


def _entries(
    rows: Mapping[str, CardRow], steps: Sequence[str], ticket: str, begun: datetime
) -> tuple[Entry, ...]:
    order = in_order_done(rows, steps)
    noted = [step for step in steps if step in rows and step not in order and rows[step].note.strip()]
    if not order:
        raise ObservationUnfit("No box is ticked; a card without a mark says nothing.")
    # A card tells the order and no times; the seconds stand for the order alone.
    return tuple(
        Entry(
            f"{ticket[:40]} {number}",
            StepSeen(step, rows[step].mark, rows[step].note.strip(), begun + timedelta(seconds=number)),
        )
        for number, step in enumerate([*order, *noted])
    )


def _must_be_of_today(filled_on: date, today: date, typed: str, revision: str) -> None:
    if filled_on > today:
        raise ObservationUnfit("The day on the card lies in the future.")
    figures = typed.strip().casefold()
    if len(figures) < _FIGURES or not revision.startswith(figures):
        raise ObservationUnfit(
            f"The card must be of the revision in force, {revision[:_FIGURES]}; type the first {_FIGURES} figures from the card."
        )
