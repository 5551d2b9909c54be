"""Where a person is with a covered task, and what the one table of steps says of a step that somebody wants to take."""

from __future__ import annotations

from datetime import timedelta
from types import MappingProxyType
from typing import TYPE_CHECKING

from trainer.actions.permissions import Role
from trainer.errors import TrainerError
from trainer.records import life_cycle
from trainer.records.life_cycle import STEPS, Life, State
from trainer.records.qualification import ENDS_SOON_DAYS
from trainer.store import assignments, held, modules, sittings, summaries

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from trainer.actions.actor import Actor
    from trainer.records.life_cycle import Act, Condition, Shown
    from trainer.store.qualifications import Qualification, Term
    from trainer.store.session import Unit


class LifeStepRefused(TrainerError):
    """The step cannot be taken; the text says what stands in the way."""


def roles_of(actor: Actor) -> list[str]:
    """Return what an actor works as, in the words of the table; the command line on the host stands for any role."""
    return [role.value for role in (Role if actor.is_system else actor.roles)]


def module_given(unit: Unit, person_id: str, module_id: str) -> bool:
    """Return whether a module is on a person's sheet."""
    return any(item.module_id == module_id for item in assignments.of_person(unit, person_id))


def refusal(
    unit: Unit,
    act: Act,
    person_id: str,
    task_id: str,
    *,
    roles: Iterable[str],
    looked_at: Mapping[Condition, TrainerError | None],
    shown: Iterable[Shown] = (),
    today: date,
) -> TrainerError | None:
    """Return why a step is not possible, or None when the table of steps lets it pass.

    Args:
        unit: the transaction.
        act: the step.
        person_id: whose life it is a step of.
        task_id: the covered task.
        roles: what who takes it works as.
        looked_at: each condition that was looked at, with what to say where it is not true; any other counts as missing.
        shown: what a signature could stand on.
        today: the day of the step.
    """
    # Reading it would make an answer in practice, which is open from everywhere, dearer by a fifth.
    reads = STEPS[act].asks_where
    state = state_of(unit, person_id, task_id, today) if reads else State.NOT_ASSIGNED
    return refusal_from(state, act, roles=roles, looked_at=looked_at, shown=shown)


def refusal_from(
    state: State,
    act: Act,
    *,
    roles: Iterable[str],
    looked_at: Mapping[Condition, TrainerError | None],
    shown: Iterable[Shown] = (),
) -> TrainerError | None:
    """Return as `refusal` does why a step is not possible, for who knows already where the person is."""
    life = Life(state, frozenset(shown))
    met = {condition for condition, wrong in looked_at.items() if wrong is None}
    refused = life_cycle.refusal(life, act, roles, met)
    if refused is None:
        return None
    own = looked_at.get(refused.missing) if refused.missing else None
    return own or LifeStepRefused(refused.sentence)


def must(
    unit: Unit,
    act: Act,
    actor: Actor,
    person_id: str,
    task_id: str,
    *,
    looked_at: Mapping[Condition, TrainerError | None] = MappingProxyType({}),
    today: date,
) -> None:
    """Let pass a step that the table of steps lets pass; the arguments are those of `refusal`.

    Raises:
        LifeStepRefused: it cannot be taken from here, by this actor, or nobody looked at a condition.
        TrainerError: what stands in `looked_at` for the condition that is not true.
    """
    refused = refusal(unit, act, person_id, task_id, roles=roles_of(actor), looked_at=looked_at, today=today)
    if refused is not None:
        raise refused


def state_of(unit: Unit, person_id: str, task_id: str, day: date) -> State:
    """Return where a person is with a task, also before anything is held for it."""
    terms = held.of_person(unit, person_id, task_id)
    found = state_of_terms(terms, day) if terms else State.NOT_ASSIGNED
    if found not in (State.NOT_ASSIGNED, State.STOPPED):
        return found
    return _before_the_first(unit, person_id, task_id) or found


def _before_the_first(unit: Unit, person_id: str, task_id: str) -> State | None:
    """Return how far somebody is who holds nothing, None when no module that serves the task is on their sheet.

    What was practised or released before a module was put there does not make its assignment an older one.
    """
    serving = frozenset(item.module_id for item in modules.in_force(unit) if item.task_id == task_id)
    given = [item for item in assignments.of_person(unit, person_id) if item.module_id in serving]
    if not given:
        return None
    for item in given:
        sat = next(iter(sittings.of_person(unit, person_id, item.module_id)), None)
        if sat is not None and sat.released_at >= item.assigned_at:
            return State.RELEASED
    practised_at = summaries.newest(unit, person_id, serving)
    since = min(item.assigned_at for item in given)
    return State.PRACTISING if practised_at is not None and practised_at >= since else State.ASSIGNED


def state_of_terms(terms: Sequence[Qualification | Term], day: date) -> State:
    """Return where somebody is with a task that they hold or held something for, our own first and the newest before."""
    newest = terms[0]
    if newest.stopped:
        return State.STOPPED
    runs = any(item.valid_from <= day <= item.last_day for item in terms)
    open_now = [item for item in newest.suspended if item.is_open]
    if newest.ended_on is None or runs:
        if any(item.failed for item in open_now):
            return State.NOT_SHOWN
        if any(not item.demand for item in open_now):
            return State.SUSPENDED
    if runs and any(item.covers(day) for item in open_now):
        return State.HELD_BACK
    until = max((item.last_day for item in terms if item.holds_on(day)), default=None)
    if until is not None:
        return State.DUE if until - day <= timedelta(days=ENDS_SOON_DAYS) else State.QUALIFIED
    return State.LAPSED if newest.ended_on is None else State.WITHDRAWN
