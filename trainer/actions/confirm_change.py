"""A supervisor's confirmation that somebody has shown a change, so that they go on under the new revision."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.actions import accounts, changes, journal, ledger
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.life_steps import refusal_from, roles_of, state_of_terms
from trainer.actions.people import found_for
from trainer.actions.permissions import Permission
from trainer.records.life_cycle import Act, Condition
from trainer.store import changes as kept_changes
from trainer.store import people, sittings
from trainer.store.changes import Step

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.changes import ChangeDue
    from trainer.errors import TrainerError
    from trainer.store.session import Database, Unit

CONFIRMED = "qualification:change_shown"
MEANING = "I have read the evidence: this person has shown what the change asks, and goes on under the new revision."
TWO_PEOPLE = "Who released the sitting does not confirm what it came to; another supervisor does (house rule: two people)."


@dataclass(frozen=True)
class ConfirmLine:
    """One change that waits for a supervisor; `why_not` says why this actor does not confirm it, or "".

    `sittings` are the numbers of those that it stands on.
    """

    due: ChangeDue
    why_not: str
    sittings: tuple[int, ...]


def waiting(db: Database, actor: Actor, *, now: datetime) -> tuple[ConfirmLine, ...]:
    """Return the changes that only a supervisor's confirmation is missing for, the earliest due first."""
    actor.must(Permission.QUALIFICATION_SIGN)
    with db.reading() as unit:
        return tuple(
            _line(unit, actor, one, now.date())
            for one in changes.everybody(unit)
            if one.shown and actor.may_for(Permission.QUALIFICATION_SIGN, crew=one.crew)
        )


def prepare(db: Database, actor: Actor, person_id: str, module_id: str, *, now: datetime) -> ConfirmLine:
    """Return what a supervisor has in front of them before they confirm a change.

    Raises:
        NotFound: no such person for this actor, or nothing of this module is open for them.
    """
    with db.reading() as unit:
        return _line(unit, actor, _open_for(unit, actor, person_id, module_id), now.date())


def _line(unit: Unit, actor: Actor, due: ChangeDue, today: date) -> ConfirmLine:
    sat = tuple(number for number, _ in _sat(unit, due))
    return ConfirmLine(due, str(_refusal(unit, actor, due, today) or ""), sat)


def confirm(
    db: Database, actor: Actor, person_id: str, module_id: str, *, password: str, now: datetime
) -> str:
    """Confirm that somebody has shown a change; return the session's new token.

    Args:
        db: the database.
        actor: the supervisor.
        person_id: who has shown it.
        module_id: the procedure that changed.
        password: the supervisor's password again.
        now: the time.

    Raises:
        NotFound: no such person for this actor, or nothing of this module is open for them.
        NotAllowed: this actor released a sitting that it stands on.
        LifeStepRefused: something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    with db.reading() as unit:
        _must(unit, actor, person_id, module_id, now.date())
    actor = accounts.signing(db, actor, password, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        people.lock(unit, person_id)
        due = _must(unit, actor, person_id, module_id, now.date())
        evidence = _evidence(unit, due)
        steps = [
            {
                "demand": demand.id,
                "step": kept_changes.add(
                    unit,
                    demand,
                    Step.SHOWN,
                    on=now.date(),
                    reason=evidence["statement"],
                    by=actor.person_id,
                    by_name=actor.display_name,
                    at=now,
                    evidence=evidence,
                ),
            }
            for demand in due.demands
        ]
        journal.note(
            unit,
            actor,
            CONFIRMED,
            at=now,
            person=person_id,
            task=due.task_id,
            qualification=due.number,
            module=module_id,
            steps=steps,
            on=now.date().isoformat(),
            by_name=actor.display_name,
            evidence=evidence,
            session=actor.session,
        )
        ledger.sign_when_possible(unit, db.keys, now=now)
    return token


def _evidence(unit: Unit, due: ChangeDue) -> dict[str, Any]:
    """Return what is confirmed, as plain values without floats: the revision, the classes and what they stand on."""
    return {
        "meaning": MEANING,
        "module": due.module_id,
        "revision": due.revision,
        "signed_under": due.demands[-1].signed_under,
        "classes": [element.id for element in due.classes],
        "shown": changes.shown_data(due.assessed),
        "sittings": [sat for sat, _ in _sat(unit, due)],
        "statement": changes.statement_of(due.assessed),
    }


def _sat(unit: Unit, due: ChangeDue) -> list[tuple[int, str]]:
    """Return the sittings that it stands on, each with who released it."""
    wanted = {element.id for element in due.classes}
    return [
        (sat.id, sat.released_by)
        for sat in reversed(sittings.of_person(unit, due.person_id, due.module_id))
        if sat.revision == due.revision
        and any(
            one.element_class in wanted
            and one.answer is not None
            and due.assessed.this_round.counts(one.answer.at)
            for one in sittings.questions(unit, sat.id)
        )
    ]


def _open_for(unit: Unit, actor: Actor, person_id: str, module_id: str) -> ChangeDue:
    found_for(unit, actor, Permission.QUALIFICATION_SIGN, person_id)
    due = changes.of_module(unit, person_id, module_id)
    if due is None:
        raise NotFound("change to confirm in", module_id)
    return due


def _must(unit: Unit, actor: Actor, person_id: str, module_id: str, today: date) -> ChangeDue:
    due = _open_for(unit, actor, person_id, module_id)
    refused = _refusal(unit, actor, due, today)
    if refused is not None:
        raise refused
    return due


def _refusal(unit: Unit, actor: Actor, due: ChangeDue, today: date) -> TrainerError | None:
    """Return why a change cannot be confirmed, the password left aside: it is asked for afterwards."""
    released = actor.person_id in {releaser for _, releaser in _sat(unit, due)}
    looked_at: dict[Condition, TrainerError | None] = {
        Condition.PASSWORD: None,
        Condition.CHANGE_OPEN: None,
        Condition.ANOTHER_PERSON: NotAllowed(Permission.QUALIFICATION_SIGN, TWO_PEOPLE) if released else None,
    }
    if actor.person_id != due.person_id:
        looked_at[Condition.NOT_ONESELF] = None
    if due.shown:
        looked_at[Condition.TOUCHED_PASSED] = None
    state = state_of_terms(changes.held_of(unit, due.person_id, due.task_id), today)
    return refusal_from(state, Act.CONFIRM, roles=roles_of(actor), looked_at=looked_at)
