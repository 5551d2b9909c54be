"""The life of one qualification: who may take which step from where, and what has to be true for it.

Assessment, observation and evaluation come in any order, so what has been shown is kept beside the state. Two people
for a signature and two for lifting a suspension are house rules (common practice, no source); the rest follows
49 CFR 192.803 ("qualified"), 192.805(b)-(e) and 192.807, read in stored public copies. The words here are ours.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


class State(StrEnum):
    """Where a person is with a covered task."""

    NOT_ASSIGNED = "not_assigned"
    ASSIGNED = "assigned"
    PRACTISING = "practising"
    RELEASED = "released"
    QUALIFIED = "qualified"
    DUE = "due"
    LAPSED = "lapsed"
    SUSPENDED = "suspended"
    HELD_BACK = "held_back"
    NOT_SHOWN = "not_shown"
    WITHDRAWN = "withdrawn"
    STOPPED = "stopped"

    @property
    def words(self) -> str:
        """The state in words."""
        return _STATES[self]

    @property
    def may_work_alone(self) -> bool:
        """Everybody else works only while a qualified person directs and observes (192.805(c))."""
        return self in (State.QUALIFIED, State.DUE)


_STATES = {
    State.NOT_ASSIGNED: "not assigned",
    State.ASSIGNED: "assigned",
    State.PRACTISING: "in practice",
    State.RELEASED: "released for assessment",
    State.QUALIFIED: "qualified",
    State.DUE: "qualified, ends soon",
    State.LAPSED: "lapsed",
    State.SUSPENDED: "suspended",
    State.HELD_BACK: "held back, a change was not shown in time",
    State.NOT_SHOWN: "suspended, a change was found not shown",
    State.WITHDRAWN: "withdrawn",
    State.STOPPED: "no longer does the task",
}


class Act(StrEnum):
    """What somebody does, or what the calendar does."""

    ASSIGN = "assign"
    PRACTISE = "practise"
    RELEASE = "release"
    ASSESS = "assess"
    OBSERVE = "observe"
    EVALUATE = "evaluate"
    SIGN = "sign"
    COME_DUE = "come_due"
    LAPSE = "lapse"
    REVISE = "revise"
    ASK_TO_SHOW = "ask_to_show"
    FALL_DUE = "fall_due"
    FAIL_TO_SHOW = "fail_to_show"
    CONFIRM = "confirm"
    SUSPEND = "suspend"
    LIFT = "lift"
    WITHDRAW = "withdraw"
    STOP = "stop"

    @property
    def words(self) -> str:
        """The act in words, as in "to … this person"."""
        return _ACTS[self]


_ACTS = {
    Act.ASSIGN: "assign the module",
    Act.PRACTISE: "practise",
    Act.RELEASE: "release for assessment",
    Act.ASSESS: "sit the assessment",
    Act.OBSERVE: "sign the observation",
    Act.EVALUATE: "record the evaluation",
    Act.SIGN: "sign the qualification",
    Act.COME_DUE: "come due",
    Act.LAPSE: "lapse",
    Act.REVISE: "put a revision in force",
    Act.ASK_TO_SHOW: "ask for a change to be shown",
    Act.FALL_DUE: "let a change fall due",
    Act.FAIL_TO_SHOW: "find a change not shown",
    Act.CONFIRM: "confirm that a change was shown",
    Act.SUSPEND: "suspend the qualification",
    Act.LIFT: "lift the suspension as unfounded",
    Act.WITHDRAW: "withdraw the qualification",
    Act.STOP: "note that the task is no longer done",
}


class Shown(StrEnum):
    """What a signature stands on (192.803: can do the task, and recognises and reacts to abnormal conditions)."""

    ASSESSED = "assessed"
    OBSERVED = "observed"
    EVALUATED = "evaluated"


class Condition(StrEnum):
    """What has to be true for a step; the value is the end of "… is missing"."""

    PASSWORD = "the password again"  # noqa: S105 -- words, no password
    REASON = "the reason in writing"
    ANOTHER_PERSON = "a second person"
    NOT_ONESELF = "somebody other than the person concerned"
    RIGHT_TO_EVALUATE = "the right to evaluate for this task"
    MODULE_GIVEN = "this module on the person's sheet"
    EVERY_CLASS_DECIDED = "a decision in every element class"
    CRITICAL_SEEN = "the critical steps seen at the bench"
    TASK_DONE_RIGHT = "a passed evaluation"
    ABNORMAL_RECOGNISED = "the abnormal conditions, recognised and answered"
    METHODS_CARRY = "methods that may carry a qualification"
    DAY_REACHED = "the day itself"
    CHANGE_OPEN = "a change that is to be shown"
    TOUCHED_PASSED = "a pass in each class that the change touches"
    TOUCHED_NOT_READY = "a class that the change touches, found not ready"


_C = Condition
_CALENDAR = "calendar"
_TECHNICIAN, _MENTOR, _SUPERVISOR, _KEEPER = "technician", "mentor", "supervisor", "keeper"
_LIVING = frozenset(State) - {State.NOT_ASSIGNED}
_HELD = frozenset({State.QUALIFIED, State.DUE})
_BACK = frozenset({State.HELD_BACK, State.NOT_SHOWN})


@dataclass(frozen=True)
class Step:
    """One row of the table: from where, by whom, on what conditions, to where; `to` None stays where one is.

    `shown` is what has to stand already, `shows` what the step adds. What was seen is kept as it was, also when it was
    not enough: without what stands in `shows_with` the step can be taken too, and then that piece stands no more.
    `spends`: what was shown before counts no more; with `sets_aside` it comes back if the step is taken back, and
    `gives_back` is that taking back.
    """

    of: frozenset[State]
    roles: frozenset[str]
    conditions: frozenset[Condition] = frozenset()
    to: State | None = None
    shown: frozenset[Shown] = frozenset()
    shows: Shown | None = None
    shows_with: frozenset[Condition] = frozenset()
    spends: bool = False
    sets_aside: bool = False
    gives_back: bool = False

    @property
    def asks_where(self) -> bool:
        """There are states from which it cannot be taken."""
        return self.of != frozenset(State)


STEPS: Mapping[Act, Step] = {
    # A module is assigned, a state is of a task: a second module of the task, or another due date, changes no state.
    # Taking a module back is no step: with the last one of the task, the person is where nothing was assigned.
    Act.ASSIGN: Step(frozenset(State), frozenset({_MENTOR, _SUPERVISOR})),
    # Whoever likes to may practise anything, assigned or not: it counts for no signature.
    Act.PRACTISE: Step(frozenset(State), frozenset({_TECHNICIAN, _MENTOR})),
    Act.RELEASE: Step(
        _LIVING - {State.STOPPED},
        frozenset({_MENTOR}),
        frozenset({_C.REASON, _C.NOT_ONESELF, _C.MODULE_GIVEN}),
    ),
    # Nobody sits unreleased; whoever holds or held something keeps their state with the release.
    Act.ASSESS: Step(
        _LIVING - {State.STOPPED, State.ASSIGNED, State.PRACTISING},
        frozenset({_TECHNICIAN, _MENTOR}),
        frozenset({_C.MODULE_GIVEN}),
        shows=Shown.ASSESSED,
        shows_with=frozenset({_C.EVERY_CLASS_DECIDED}),
    ),
    Act.OBSERVE: Step(
        _LIVING - {State.STOPPED},
        frozenset({_MENTOR, _SUPERVISOR}),
        frozenset({_C.PASSWORD, _C.NOT_ONESELF, _C.RIGHT_TO_EVALUATE}),
        shows=Shown.OBSERVED,
        shows_with=frozenset({_C.CRITICAL_SEEN}),
    ),
    Act.EVALUATE: Step(
        _LIVING - {State.STOPPED},
        frozenset({_MENTOR, _SUPERVISOR}),
        frozenset({_C.PASSWORD, _C.NOT_ONESELF, _C.RIGHT_TO_EVALUATE, _C.METHODS_CARRY}),
        shows=Shown.EVALUATED,
        shows_with=frozenset({_C.TASK_DONE_RIGHT, _C.ABNORMAL_RECOGNISED}),
    ),
    Act.SIGN: Step(
        _LIVING - {State.STOPPED},
        frozenset({_SUPERVISOR}),
        frozenset({_C.PASSWORD, _C.ANOTHER_PERSON, _C.NOT_ONESELF}),
        to=State.QUALIFIED,
        shown=frozenset(Shown),
        # Each piece of evidence carries one signature; renewing shows all of it anew (49 U.S.C. 60131(d)(3)).
        spends=True,
    ),
    Act.COME_DUE: Step(
        frozenset({State.QUALIFIED}),
        frozenset({_CALENDAR}),
        frozenset({_C.DAY_REACHED}),
        to=State.DUE,
    ),
    Act.LAPSE: Step(_HELD, frozenset({_CALENDAR}), frozenset({_C.DAY_REACHED}), to=State.LAPSED),
    # A revision takes nothing from who is qualified; what was shown of the old one carries no new signature.
    Act.REVISE: Step(_LIVING, frozenset({_KEEPER}), spends=True),
    # 192.805(f) asks to tell people of a change; that a significant one is shown anew is our own choice.
    Act.ASK_TO_SHOW: Step(_HELD | _BACK | {State.SUSPENDED}, frozenset({_KEEPER}), frozenset({_C.REASON})),
    Act.FALL_DUE: Step(
        _HELD,
        frozenset({_CALENDAR}),
        frozenset({_C.DAY_REACHED, _C.CHANGE_OPEN}),
        to=State.HELD_BACK,
    ),
    # Whoever is found not ready in what the change touches is evaluated anew as a whole, and nobody lifts that.
    Act.FAIL_TO_SHOW: Step(
        _HELD | {State.HELD_BACK, State.SUSPENDED},
        frozenset({_TECHNICIAN, _MENTOR, _SUPERVISOR}),
        frozenset({_C.CHANGE_OPEN, _C.TOUCHED_NOT_READY}),
        to=State.NOT_SHOWN,
        spends=True,
    ),
    # It sets no new term: what it stands on still counts for the renewal.
    Act.CONFIRM: Step(
        _HELD | {State.HELD_BACK},
        frozenset({_SUPERVISOR}),
        frozenset({_C.PASSWORD, _C.ANOTHER_PERSON, _C.NOT_ONESELF, _C.CHANGE_OPEN, _C.TOUCHED_PASSED}),
    ),
    Act.SUSPEND: Step(
        _HELD | {State.HELD_BACK},
        frozenset({_SUPERVISOR}),
        frozenset({_C.PASSWORD, _C.REASON, _C.NOT_ONESELF}),
        to=State.SUSPENDED,
        # 192.805(d) and (e) ask to evaluate again: what was shown before says nothing any more.
        spends=True,
        sets_aside=True,
    ),
    Act.LIFT: Step(
        frozenset({State.SUSPENDED}),
        frozenset({_SUPERVISOR}),
        frozenset({_C.PASSWORD, _C.REASON, _C.ANOTHER_PERSON, _C.NOT_ONESELF}),
        to=State.QUALIFIED,
        gives_back=True,
    ),
    Act.WITHDRAW: Step(
        _HELD | _BACK | {State.SUSPENDED},
        frozenset({_SUPERVISOR}),
        frozenset({_C.PASSWORD, _C.REASON, _C.NOT_ONESELF}),
        to=State.WITHDRAWN,
        spends=True,
    ),
    Act.STOP: Step(
        _LIVING - {State.STOPPED},
        frozenset({_SUPERVISOR}),
        frozenset({_C.PASSWORD, _C.REASON}),
        to=State.STOPPED,
        spends=True,
    ),
}
# Assigning, practice and release move somebody who is not qualified yet, a confirmation somebody who was held back; for
# everybody else they change nothing.
_FORWARD: Mapping[tuple[Act, State], State] = {
    (Act.ASSIGN, State.NOT_ASSIGNED): State.ASSIGNED,
    (Act.ASSIGN, State.STOPPED): State.ASSIGNED,
    (Act.PRACTISE, State.ASSIGNED): State.PRACTISING,
    (Act.RELEASE, State.ASSIGNED): State.RELEASED,
    (Act.RELEASE, State.PRACTISING): State.RELEASED,
    (Act.CONFIRM, State.HELD_BACK): State.QUALIFIED,
}


class StepRefused(TrainerError):
    """The step cannot be taken from here, by this person, or something is missing."""


@dataclass(frozen=True)
class Life:
    """Where a person is with a task, what a signature could stand on, and what a suspension laid aside of it."""

    state: State = State.NOT_ASSIGNED
    shown: frozenset[Shown] = frozenset()
    aside: frozenset[Shown] = frozenset()

    def after(self, act: Act, roles: Iterable[str], met: Iterable[Condition]) -> Life:
        """Return the life after a step.

        Args:
            act: the step.
            roles: what the person who takes it works as; `calendar` for what time does.
            met: the conditions that are true.

        Raises:
            StepRefused: it cannot be taken; the text says why.
        """
        met = frozenset(met)
        refused = why_not(self, act, roles, met)
        if refused:
            raise StepRefused(refused)
        step = STEPS[act]
        to = step.to or _FORWARD.get((act, self.state), self.state)
        piece = frozenset() if step.shows is None else frozenset({step.shows})
        # The newest word on a piece counts, also over what a suspension laid aside.
        gained = piece if step.shows_with <= set(met) else frozenset()
        shown = self.shown - piece | gained | (self.aside if step.gives_back else frozenset())
        aside = frozenset() if step.spends or step.gives_back else self.aside - piece
        if step.sets_aside:
            aside = self.shown
        return replace(self, state=to, shown=frozenset() if step.spends else shown, aside=aside)


@dataclass(frozen=True)
class Refusal:
    """Why a step cannot be taken, in one sentence; `missing` is the condition, when it is one."""

    sentence: str
    missing: Condition | None = None


def why_not(life: Life, act: Act, roles: Iterable[str], met: Iterable[Condition]) -> str | None:
    """Return in one sentence why a step cannot be taken, or None when it can."""
    refused = refusal(life, act, roles, met)
    return None if refused is None else refused.sentence


def refusal(life: Life, act: Act, roles: Iterable[str], met: Iterable[Condition]) -> Refusal | None:
    """Return why a step cannot be taken, or None when it can: where one is comes first, then who, then what is missing."""
    step = STEPS[act]
    if life.state not in step.of:
        return Refusal(f"To {act.words} is not possible here: {life.state.words}{_way_in(life.state, step)}.")
    if not step.roles & set(roles):
        who = " or ".join(sorted(step.roles))
        return Refusal(f"To {act.words} takes somebody who works as {who}.")
    missing = [condition for condition in Condition if condition in step.conditions - set(met)]
    if missing:
        return Refusal(f"To {act.words}, {missing[0].value} is missing.", missing[0])
    lacking = [piece for piece in Shown if piece in step.shown - life.shown]
    if lacking:
        return Refusal(f"To {act.words}, the person has to be {lacking[0].value} first.")
    return None


def _way_in(state: State, step: Step) -> str:
    """Return what to do first, where assigning the module is the beginning of the way to a step."""
    begins = (Act.ASSIGN, state) in _FORWARD and not step.of.isdisjoint({State.ASSIGNED, State.RELEASED})
    return "; assign the module first" if begins else ""
