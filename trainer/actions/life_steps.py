"""Where a person is with a covered task, and what the one table of steps says of a step that somebody wants to take."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import rounds
from trainer.errors import TrainerError
from trainer.records import life_cycle
from trainer.records.life_cycle import Life, State
from trainer.records.qualification import ENDS_SOON_DAYS
from trainer.store import assignments, held, modules, sittings, summaries

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from trainer.records.life_cycle import Act, Condition, Shown
    from trainer.store.qualifications import Qualification, Term
    from trainer.store.session import Unit


class LifeStepRefused(TrainerError):
    """The step cannot be taken; the text says what stands in the way."""


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
    life = Life(state_of(unit, person_id, task_id, today), frozenset(shown))
    met = {condition for condition, wrong in looked_at.items() if wrong is None}
    refused = life_cycle.refusal(life, act, roles, met)
    if refused is None:
        return None
    own = looked_at.get(refused.missing) if refused.missing else None
    return own or LifeStepRefused(refused.sentence)


def state_of(unit: Unit, person_id: str, task_id: str, day: date) -> State:
    """Return where a person is with a task, also before anything is held for it."""
    terms = held.of_person(unit, person_id, task_id)
    found = state_of_terms(terms, day) if terms else State.NOT_ASSIGNED
    if found not in (State.NOT_ASSIGNED, State.STOPPED):
        return found
    return _before_the_first(unit, person_id, task_id) or found


def _before_the_first(unit: Unit, person_id: str, task_id: str) -> State | None:
    """Return how far somebody is who holds nothing, None when no module that serves the task is on their sheet."""
    serving = {item.module_id: item.revision for item in modules.in_force(unit) if item.task_id == task_id}
    given = [item.module_id for item in assignments.of_person(unit, person_id) if item.module_id in serving]
    if not given:
        return None
    this_round = rounds.of_person(unit, person_id, task_id)
    released = (sat for name in given for sat in sittings.of_person(unit, person_id, name))
    if any(this_round.counts(sat.released_at) for sat in released):
        return State.RELEASED
    practised = any(summaries.of_person(unit, person_id, serving[name]) for name in given)
    return State.PRACTISING if practised else State.ASSIGNED


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
