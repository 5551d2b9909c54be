"""Reading observations: an evaluator's bench, one observation, what a person was seen doing."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from trainer.actions import evaluator, rounds
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.evaluate import task_of
from trainer.actions.observation_views import (
    BenchList,
    ObservationLine,
    ObservationView,
    ObserveSheet,
    PhotographShown,
)
from trainer.actions.people import found, found_for, view
from trainer.actions.permissions import Permission, Role, allowed
from trainer.actions.published import in_force, prepared
from trainer.actions.unaided import must_not_sit
from trainer.competency.witnessed import Witnessed, of_one_job
from trainer.drills import observed
from trainer.errors import TrainerError
from trainer.procedure.window import prepare
from trainer.records.life_cycle import Act
from trainer.records.observation import StepMark, StepSeen, replayed
from trainer.records.qualification import Signature
from trainer.store import observations, people, photographs

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from typing import Any

    from trainer.actions.actor import Actor
    from trainer.store.observations import Observation
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

_LISTED = 20
MARK_APART = "You watch this job too. What the other marked opens when you have signed your own."


class ObservationUnfit(TrainerError):
    """What is handed in cannot be kept as it stands; the text says why."""


def before_begin(
    db: Database, actor: Actor, person_id: str, module_id: str, *, now: datetime
) -> ObserveSheet:
    """Return what an evaluator has in front of them before they begin an observation or enter a paper card.

    Raises:
        NotFound: no such person for this actor, or no such module.
    """
    with db.reading() as unit:
        person = found_for(unit, actor, Permission.OBSERVATION_RECORD, person_id)
        revision = in_force(unit, module_id)
        task = task_of(unit, revision.task_id)
        module = prepared(unit, revision.revision).module
        sizes = module.sizes or ("",)
        others = (
            item for size in sizes for item in observations.of_same_work(unit, person_id, module_id, size)
        )
        return ObserveSheet(
            person=view(person),
            module_id=module_id,
            module_title=revision.title,
            document=revision.document,
            revision=revision.revision,
            task=task,
            sizes=sizes,
            why_not=evaluator.why_not(unit, Act.OBSERVE, actor, person, task, now.date()),
            beside=tuple(
                line(unit, item)
                for item in others
                if item.revision == revision.revision
                and item.evaluator_id != actor.person_id
                and item.begun_at.date() == now.date()
            ),
            evaluators=_evaluators(unit, actor, person),
            steps=tuple((step.id, step.do) for step in module.steps.values()),
        )


def _evaluators(unit: Unit, actor: Actor, person: Person) -> tuple[tuple[str, str], ...]:
    """Return who may have filled in a card of a person's work, the actor first: (number, name)."""
    watching = [
        (other.id, other.display_name)
        for other in people.everybody(unit, with_retired=False)
        if other.id != person.id
        and allowed((Role(name) for name in other.roles), Permission.OBSERVATION_RECORD)
    ]
    return tuple(sorted(watching, key=lambda item: (item[0] != actor.person_id, item[1])))


def my_bench(db: Database, actor: Actor) -> BenchList:
    """Return the observations that an evaluator has open, and those closed last."""
    actor.must(Permission.OBSERVATION_RECORD)
    with db.reading() as unit:
        return BenchList(
            open=tuple(line(unit, item) for item in observations.open_of(unit, actor.person_id)),
            closed=tuple(
                line(unit, item) for item in observations.closed_by(unit, actor.person_id, limit=_LISTED)
            ),
        )


def observation(
    db: Database, actor: Actor, observation_id: int, order: Sequence[str] = ()
) -> ObservationView:
    """Return one observation: the actor's own as evaluator, of somebody they look after, or of their own work.

    Args:
        db: the database.
        actor: who reads.
        observation_id: which one.
        order: of an open one, the marked steps in the order to be judged; as they were marked unless given.

    Raises:
        NotFound: there is none for this actor.
        ObservationUnfit: the order is not one of the marked steps.
        SittingUnderWay: it is of the actor's own work, and they sit.
    """
    with db.reading() as unit:
        return shown_as(unit, actor, readable(unit, actor, observation_id), order)


def readable(unit: Unit, actor: Actor, observation_id: int) -> Observation:
    """Return an observation that the actor may read.

    Raises:
        NotFound: there is none for this actor.
        NotAllowed: the actor watches the same job and has not signed yet.
        SittingUnderWay: it is of the actor's own work, and they sit.
    """
    kept = observations.by_id(unit, observation_id)
    if kept is None or not _may_see(actor, kept, found(unit, kept.person_id)):
        raise NotFound("observation", observation_id)
    if _watches_too(unit, actor, kept):
        raise NotAllowed(Permission.OBSERVATION_READ, MARK_APART)
    if kept.person_id == actor.person_id:
        must_not_sit(unit, actor)
    return kept


def _watches_too(unit: Unit, actor: Actor, kept: Observation) -> bool:
    """Return whether the actor has an observation of the same job open, which must not look at this one."""
    same = observations.of_same_work(unit, kept.person_id, kept.module_id, kept.size)
    return kept.evaluator_id != actor.person_id and any(
        item.job == kept.job and item.evaluator_id == actor.person_id and item.is_open for item in same
    )


def _may_see(actor: Actor, kept: Observation, person: Person) -> bool:
    if kept.evaluator_id == actor.person_id and actor.may(Permission.OBSERVATION_RECORD):
        return True
    own = kept.person_id == actor.person_id and actor.may(Permission.RECORD_OWN)
    closed = kept.closed_at is not None
    return closed and (own or actor.may_for(Permission.OBSERVATION_READ, crew=person.crew))


def of_own(db: Database, actor: Actor) -> tuple[ObservationLine, ...]:
    """Return the closed observations of the actor's own work, newest first."""
    actor.must(Permission.RECORD_OWN)
    with db.reading() as unit:
        return tuple(line(unit, item) for item in observations.closed_of(unit, actor.person_id))


def of_person(db: Database, actor: Actor, person_id: str) -> tuple[ObservationLine, ...]:
    """Return the closed observations of somebody's work, newest first.

    Raises:
        NotFound: there is no such person for this actor.
    """
    with db.reading() as unit:
        found_for(unit, actor, Permission.OBSERVATION_READ, person_id)
        return tuple(line(unit, item) for item in observations.closed_of(unit, person_id))


def witnessed_of(unit: Unit, person_id: str, module_id: str, revision: str) -> tuple[Witnessed, ...]:
    """Return what the closed observations of a person at a revision say of skills, the earliest first.

    A job is one attempt however many watched it.
    """
    of_job: dict[tuple[int, str], Witnessed] = {}
    for kept in reversed(observations.closed_of(unit, person_id, module_id)):
        for one in signed_witnessed(kept) if kept.revision == revision else ():
            job = kept.job, one.skill
            of_job[job] = of_one_job(of_job.get(job, one), one)
    return tuple(sorted(of_job.values(), key=lambda one: one.at))


def signed_witnessed(kept: Observation) -> tuple[Witnessed, ...]:
    """Return what a closed observation says of skills, as it was signed."""
    at = kept.closed_at or kept.begun_at
    return tuple(
        Witnessed(item["skill"], item["right"], item["critical"], kept.begun_at, at)
        for item in kept.record["witnessed"]
    )


def standing_of(unit: Unit, kept: Observation) -> tuple[StepSeen, ...]:
    """Return the marks of an observation: as signed when it is closed, as entered so far else."""
    if kept.closed_at is not None:
        return tuple(_seen(item) for item in kept.record["steps"])
    return replayed(observations.entries_of(unit, kept.id))


def _seen(data: Mapping[str, Any]) -> StepSeen:
    mark = StepMark(data["mark"]) if data["mark"] else None
    return StepSeen(data["step"], mark, data["note"], datetime.fromisoformat(data["at"]))


def in_order(seen: Iterable[StepSeen], order: Sequence[str]) -> tuple[StepSeen, ...]:
    """Return what was seen, its marked steps in an order given; unchanged without one.

    Raises:
        ObservationUnfit: the order is not one of the marked steps.
    """
    items = tuple(seen)
    marked = {item.step: item for item in items if item.mark is not None}
    if not order:
        return items
    if sorted(order) != sorted(marked):
        raise ObservationUnfit("The order must name each marked step once; open the sheet again.")
    return (*(marked[step] for step in order), *(item for item in items if item.mark is None))


def line(unit: Unit, kept: Observation) -> ObservationLine:
    """Return an observation as a line of a list."""
    module = prepared(unit, kept.revision).module
    return ObservationLine(
        observation_id=kept.id,
        person_id=kept.person_id,
        person_name=found(unit, kept.person_id).display_name,
        module_id=kept.module_id,
        module_title=module.title,
        size=kept.size,
        evaluator_name=found(unit, kept.evaluator_id).display_name,
        begun_at=kept.begun_at,
        on_paper=kept.filled_on is not None,
        signed=kept.closed_at,
        steps=sum(item.mark is not None for item in standing_of(unit, kept)),
        of=len(module.steps),
    )


def shown_as(unit: Unit, actor: Actor, kept: Observation, order: Sequence[str] = ()) -> ObservationView:
    """Return a stored observation as the actions show it."""
    published = prepared(unit, kept.revision)
    procedure = prepare(published.module, kept.size or None)
    seen = in_order(standing_of(unit, kept), order)
    person, evaluator = found(unit, kept.person_id), found(unit, kept.evaluator_id)
    transcriber = people.by_id(unit, kept.transcribed_by)
    record = kept.record
    mine = kept.evaluator_id == actor.person_id and kept.is_open
    same = observations.of_same_work(unit, kept.person_id, kept.module_id, kept.size)
    return ObservationView(
        observation_id=kept.id,
        person_id=kept.person_id,
        person_name=record.get("person_name", person.display_name),
        module_id=kept.module_id,
        module_title=published.module.title,
        document=published.module.document,
        revision=kept.revision,
        task_id=kept.task_id,
        size=kept.size,
        evaluator_id=kept.evaluator_id,
        evaluator_name=record.get("evaluator_name", evaluator.display_name),
        begun_at=kept.begun_at,
        filled_on=kept.filled_on,
        transcribed_by=transcriber.display_name if transcriber else "",
        given_up_because=kept.given_up_because,
        is_open=kept.is_open,
        seen=seen,
        order=observed.order_carried_out(procedure, [item.step for item in seen if item.mark]),
        critical=observed.critical_steps(procedure),
        witnessed=signed_witnessed(kept) if kept.closed_at else observed.witnessed(procedure, seen),
        skill_titles={skill.id: skill.title for skill in published.skills},
        result=record.get("result", ""),
        basis=record.get("basis", ""),
        signature=_signature(record),
        why_not_close="" if mine else "Who watched the work signs for it.",
        may_mark=mine,
        job=kept.job,
        photographs=photographs_of(unit, kept),
        others=tuple(line(unit, item) for item in same if item.job == kept.job and item.id != kept.id),
        is_stale=kept.is_open
        and not rounds.of_person(unit, kept.person_id, kept.task_id).counts(kept.begun_at),
    )


def photographs_of(unit: Unit, kept: Observation) -> tuple[PhotographShown, ...]:
    """Return the photographs of an observation in the order of the procedure, each with its step in words."""
    steps = prepared(unit, kept.revision).module.steps
    number = {step: place for place, step in enumerate(steps, start=1)}
    pictured = sorted(photographs.of_observation(unit, kept.id), key=lambda one: number[one.step])
    return tuple(
        PhotographShown(
            observation_id=kept.id,
            step=one.step,
            number=number[one.step],
            words=steps[one.step].do,
            sha256=one.sha256,
            width=one.width,
            height=one.height,
        )
        for one in pictured
    )


def _signature(record: Mapping[str, Any]) -> Signature | None:
    if not record:
        return None
    at = datetime.fromisoformat(record["at"])
    return Signature(record["evaluator_name"], record["evaluator"], at, record["meaning"])
