"""A change of a procedure that has to be shown anew: what is open, what becomes of it, and the supervisor's confirmation.

Whoever is qualified under an earlier revision sits for the element classes that the change touches, by the same plans and
numbers, released by a mentor, unaided. Work seen at the bench counts as ever, but none is asked for: that belongs to the
renewal (own choice).
Passed, a supervisor confirms it; found not ready, the person is evaluated anew as a whole.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Protocol

from trainer.actions import accounts, journal, ledger, readiness
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.life_steps import state_of_terms
from trainer.actions.people import found_for
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.competency.sequential import Decision
from trainer.errors import TrainerError
from trainer.records.life_cycle import Act, Condition, Life, why_not
from trainer.store import changes, people, qualifications, sittings
from trainer.store.changes import Step

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.published import Prepared
    from trainer.actions.readiness import Assessed
    from trainer.competency.skill_classes import ElementClass
    from trainer.store.changes import Demand
    from trainer.store.people import Person
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Database, Unit

CONFIRMED = "qualification:change_shown"
FAILED = "qualification:change_not_shown"
MEANING = "I have read the evidence: this person has shown what the change asks, and goes on under the new revision."
TWO_PEOPLE = "Who released the sitting does not confirm what it came to; another supervisor does (house rule: two people)."
NOTHING_LEFT = "Nothing of what the change touched is left in the revision in force."


class NotConfirmed(TrainerError):
    """The change cannot be confirmed; the text says what stands in the way."""


class OfRevision(Protocol):
    """What names classes of a revision: a demand as it is kept, or as the log tells it."""

    @property
    def revision(self) -> str:
        """The revision."""

    @property
    def classes(self) -> tuple[str, ...]:
        """The ids of its classes."""


@dataclass(frozen=True)
class ChangeDue:
    """What one person has to show of one module, and where they stand with it.

    `classes` are those of the revision in force that the change touches, `assessed` where the person stands in them; while
    they sit nothing tells that to anybody, because it would give marks away.
    """

    person_id: str
    person_name: str
    crew: str
    task_id: str
    module_id: str
    module_title: str
    revision: str
    number: str
    due: date
    reason: str
    asked_by: str
    classes: tuple[ElementClass, ...]
    assessed: Assessed
    demands: tuple[Demand, ...]
    sits: bool

    @property
    def failed(self) -> bool:
        """It was found not shown; only an evaluation as a whole ends that."""
        return any(demand.failed is not None for demand in self.demands)

    @property
    def shown(self) -> bool:
        """Every class that the change touches is passed, and only the confirmation is missing."""
        return not self.failed and not self.sits and self.assessed.readiness.passed

    @property
    def titles(self) -> str:
        """The classes in words."""
        return "; ".join(element.title for element in self.classes)

    def held_back(self, today: date) -> bool:
        """The person does not work alone at it."""
        return self.failed or today > self.due

    def sentence(self, today: date) -> str:
        """What stands on the sheets: what is to be shown, by when and why."""
        if self.failed:
            failed = next(demand.failed for demand in self.demands if demand.failed is not None)
            return (
                f"{failed.reason} All of it has to be shown anew since {failed.on.isoformat()}, and signed."
            )
        if self.sits:
            return f"To be shown by {self.due.isoformat()}; a sitting is released or under way."
        if self.shown:
            return "Shown; a supervisor has to confirm it."
        late = "was to be shown by" if self.held_back(today) else "to be shown by"
        return f"{self.titles}: {late} {self.due.isoformat()} in a sitting. {self.reason}"


def of_person(unit: Unit, person_id: str) -> tuple[ChangeDue, ...]:
    """Return what a person has open, by module."""
    person = people.by_id(unit, person_id)
    open_ones = [demand for demand in changes.of_person(unit, person_id) if demand.end is None]
    return () if person is None else _by_module(unit, person, open_ones)


def of_module(unit: Unit, person_id: str, module_id: str) -> ChangeDue | None:
    """Return what a person has to show of one module, None without anything."""
    return next((one for one in of_person(unit, person_id) if one.module_id == module_id), None)


def everybody(unit: Unit, crew: str | None = None) -> tuple[ChangeDue, ...]:
    """Return what everybody still here has open, of one crew when asked, the earliest due first."""
    listed: dict[str, list[Demand]] = {}
    for demand in changes.open_ones(unit):
        listed.setdefault(demand.person_id, []).append(demand)
    found: list[ChangeDue] = []
    for person_id, demands in listed.items():
        person = people.by_id(unit, person_id)
        if person is not None and person.retired_at is None and crew in (None, person.crew):
            found += _by_module(unit, person, demands)
    return tuple(sorted(found, key=lambda one: (one.due, one.person_name, one.module_id)))


def _by_module(unit: Unit, person: Person, demands: Iterable[Demand]) -> tuple[ChangeDue, ...]:
    listed: dict[str, list[Demand]] = {}
    for demand in demands:
        listed.setdefault(demand.module_id, []).append(demand)
    found = (_due(unit, person, tuple(mine)) for mine in listed.values())
    return tuple(one for one in found if one is not None)


def _due(unit: Unit, person: Person, demands: tuple[Demand, ...]) -> ChangeDue | None:
    newest = demands[-1]
    held = _held(unit, person.id, newest.task_id)
    # Once the task is done no more, or the qualification is over, there is nothing to go on with under the new revision.
    if not held or held[0].stopped or held[0].ended_on is not None:
        return None
    revision = in_force(unit, newest.module_id)
    published = prepared(unit, revision.revision)
    classes = touched(unit, published, demands)
    return ChangeDue(
        person_id=person.id,
        person_name=person.display_name,
        crew=person.crew,
        task_id=newest.task_id,
        module_id=newest.module_id,
        module_title=revision.title,
        revision=revision.revision,
        number=held[0].number,
        due=min(demand.due for demand in demands),
        reason=" ".join(dict.fromkeys(demand.reason for demand in demands)),
        asked_by=newest.by_name,
        classes=classes,
        assessed=readiness.of_person(
            unit, person.id, revision.revision, only=frozenset(element.id for element in classes)
        ),
        demands=demands,
        sits=sittings.open_of(unit, person.id) is not None,
    )


def touched(unit: Unit, published: Prepared, demands: Iterable[OfRevision]) -> tuple[ElementClass, ...]:
    """Return the classes of a revision that hold what demands name; a later revision may have parted them otherwise."""
    skills: set[str] = set()
    for demand in demands:
        for element in prepared(unit, demand.revision).elements:
            if element.id in demand.classes:
                skills.update(element.skills)
    return tuple(element for element in published.elements if skills & set(element.skills))


def _held(unit: Unit, person_id: str, task_id: str) -> tuple[Qualification, ...]:
    return tuple(q for q in qualifications.of_person(unit, person_id) if q.task_id == task_id)


def settle(unit: Unit, actor: Actor, person_id: str, module_id: str, *, now: datetime) -> None:
    """Keep that a change was found not shown, if what was just sat or seen says so.

    Args:
        unit: the transaction in which a sitting ended or an observation was signed.
        actor: whose doing ended it.
        person_id: whose evidence.
        module_id: the module.
        now: the time.
    """
    due = of_module(unit, person_id, module_id)
    # What is open in a sitting is settled with its end.
    if due is None or due.failed or due.sits:
        return
    failed = [
        item.element.title for item in due.assessed.readiness.classes if item.decision is Decision.NOT_READY
    ]
    if not failed:
        return
    because = f"Found not ready in what the change touches: {'; '.join(failed)}."
    today = now.date()
    steps = [
        {
            "demand": demand.id,
            "by": demand.by,
            "by_name": demand.by_name,
            "step": changes.add(
                unit,
                demand,
                Step.NOT_SHOWN,
                on=today,
                reason=because,
                by=demand.by,
                by_name=demand.by_name,
                at=now,
            ),
        }
        for demand in due.demands
    ]
    journal.note(
        unit,
        actor,
        FAILED,
        at=now,
        person=person_id,
        task=due.task_id,
        qualification=due.number,
        module=module_id,
        revision=due.revision,
        steps=steps,
        on=today.isoformat(),
        reason=because,
    )


@dataclass(frozen=True)
class ConfirmLine:
    """One change that waits for a supervisor; `why_not` says why this actor does not confirm it, or "".

    `sittings` are the numbers of those that it stands on.
    """

    due: ChangeDue
    why_not: str
    sittings: tuple[int, ...]


def due(db: Database, actor: Actor, crew: str | None = None) -> tuple[ChangeDue, ...]:
    """Return what people have to show of changes, of one crew or of all that the actor may see, the earliest due first."""
    actor.must(Permission.CREW_READ)
    with db.reading() as unit:
        return tuple(
            one for one in everybody(unit, crew) if actor.may_for(Permission.CREW_READ, crew=one.crew)
        )


def waiting(db: Database, actor: Actor, *, now: datetime) -> tuple[ConfirmLine, ...]:
    """Return the changes that only a supervisor's confirmation is missing for, the earliest due first."""
    actor.must(Permission.QUALIFICATION_SIGN)
    with db.reading() as unit:
        return tuple(
            _line(unit, actor, one, now.date())
            for one in everybody(unit)
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
    return ConfirmLine(due, _refusal(unit, actor, due, today) or "", sat)


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
        NotConfirmed: something is missing.
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
                "step": changes.add(
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


def end_by_signature(
    unit: Unit, actor: Actor, signed: Qualification, *, now: datetime
) -> list[dict[str, Any]]:
    """Let a new signature end what a person had to show for its task, and return what the log says of it.

    It was signed under the revision in force.
    """
    because = f"Shown anew as a whole and signed as {signed.number}."
    return [
        {
            "demand": demand.id,
            "reason": because,
            "step": changes.add(
                unit,
                demand,
                Step.SIGNED_ANEW,
                on=now.date(),
                reason=because,
                by=actor.person_id,
                by_name=actor.display_name,
                at=now,
            ),
        }
        for demand in changes.of_person(unit, signed.person_id)
        if demand.task_id == signed.task_id and demand.end is None
    ]


def statement_of(assessed: Assessed) -> str:
    """Return what a confirmation rests on, in words."""
    return assessed.readiness.sentence if assessed.readiness.classes else NOTHING_LEFT


def shown_data(assessed: Assessed) -> list[dict[str, Any]]:
    """Return what each class came to, as plain values without floats."""
    return [
        {**asdict(one), "decided_on": one.decided_on.isoformat() if one.decided_on else None}
        for one in assessed.on_record()
    ]


def _evidence(unit: Unit, due: ChangeDue) -> dict[str, Any]:
    """Return what is confirmed, as plain values without floats: the revision, the classes and what they stand on."""
    return {
        "meaning": MEANING,
        "module": due.module_id,
        "revision": due.revision,
        "signed_under": due.demands[-1].signed_under,
        "classes": [element.id for element in due.classes],
        "shown": shown_data(due.assessed),
        "sittings": [sat for sat, _ in _sat(unit, due)],
        "statement": statement_of(due.assessed),
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
    due = of_module(unit, person_id, module_id)
    if due is None:
        raise NotFound("change to confirm in", module_id)
    return due


def _must(unit: Unit, actor: Actor, person_id: str, module_id: str, today: date) -> ChangeDue:
    due = _open_for(unit, actor, person_id, module_id)
    refused = _refusal(unit, actor, due, today)
    if refused == TWO_PEOPLE:
        raise NotAllowed(Permission.QUALIFICATION_SIGN, refused)
    if refused:
        raise NotConfirmed(refused)
    return due


def _refusal(unit: Unit, actor: Actor, due: ChangeDue, today: date) -> str | None:
    """Return why a change cannot be confirmed, the password left aside: it is asked for afterwards."""
    met = {Condition.PASSWORD, Condition.CHANGE_OPEN}
    if actor.person_id != due.person_id:
        met.add(Condition.NOT_ONESELF)
    if due.shown:
        met.add(Condition.TOUCHED_PASSED)
    if actor.person_id not in {releaser for _, releaser in _sat(unit, due)}:
        met.add(Condition.ANOTHER_PERSON)
    elif due.shown and actor.person_id != due.person_id:
        return TWO_PEOPLE
    held = _held(unit, due.person_id, due.task_id)
    roles = [role.value for role in actor.roles]
    return why_not(Life(state_of_terms(held, today)), Act.CONFIRM, roles, met)
