"""The end of keeping: two people destroy what was kept long enough, or somebody holds it back. Nothing ends by itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.actions import accounts, journal, kept_log
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.evaluate import task_of
from trainer.actions.people import found, view
from trainer.actions.permissions import Permission
from trainer.actions.rebuild import carried
from trainer.errors import TrainerError
from trainer.records.keeping import TaskKept, Word, end_of
from trainer.store import (
    assignments,
    destruction,
    earlier,
    keeping,
    life_events,
    modules,
    people,
    qualifications,
)
from trainer.store import events as kept_events
from trainer.store import ledger as kept_ledger
from trainer.store.keeping import open_one
from trainer.store.life_events import Happened

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.views import PersonView
    from trainer.records.qualification import CoveredTask
    from trainer.store.keeping import Counted, KeepingEvent
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

_LONGEST_REASON = 2000


class KeepingGoesOn(TrainerError):
    """The step cannot be taken; the text says what stands in the way."""


@dataclass(frozen=True)
class KeptSheet:
    """What is kept of one person at one task, until when, what was said about it, and what this actor may do.

    `why_kept` says why nothing of it is destroyed, "" when it may be. `may` has for each word "" when it can be said, or the
    sentence that says why not.
    """

    person: PersonView
    task: CoveredTask
    day: date
    counted: Counted
    done_on: date | None
    earliest: date | None
    why_kept: str
    proposal: KeepingEvent | None
    hold: KeepingEvent | None
    events: tuple[KeepingEvent, ...]
    may: dict[Word, str]


@dataclass(frozen=True)
class KeptLine:
    """One line of the list: somebody who does a task no more, and how the keeping of it stands."""

    person_id: str
    person_name: str
    task_id: str
    task_title: str
    done_on: date | None
    earliest: date | None
    state: str
    is_due: bool


def listing(db: Database, actor: Actor, *, now: datetime) -> tuple[KeptLine, ...]:
    """Return whoever does a task no more with what is still kept of it, what may be destroyed first."""
    actor.must(Permission.KEEPING_READ)
    with db.reading() as unit:
        lines = [_line(unit, *pair, now.date()) for pair in keeping.candidates(unit)]
    found_lines = (line for line in lines if line is not None)
    return tuple(
        sorted(
            found_lines,
            key=lambda line: (not line.is_due, str(line.earliest), line.person_name, line.task_id),
        )
    )


def sheet(db: Database, actor: Actor, person_id: str, task_id: str, *, now: datetime) -> KeptSheet:
    """Return what is kept of a person at a task, and what may be done about it.

    Raises:
        NotFound: there is no such person or task, or nothing was ever kept of the person at it.
    """
    actor.must(Permission.KEEPING_READ)
    with db.reading() as unit:
        person, task = found(unit, person_id), task_of(unit, task_id)
        pair = _Pair.read(unit, person, task_id, now.date())
        if not pair.counted.any and not pair.events:
            raise NotFound("kept record of this person for", task_id)
        return KeptSheet(
            person=view(person),
            task=task,
            day=now.date(),
            counted=pair.counted,
            done_on=pair.kept.done_on,
            earliest=pair.kept.earliest,
            why_kept=pair.why_kept,
            proposal=pair.proposal,
            hold=pair.hold,
            events=pair.events,
            may={word: pair.refusal(actor, word) or "" for word in Word if actor.may(_NEEDS[word])},
        )


def propose(
    db: Database, actor: Actor, person_id: str, task_id: str, *, reason: str, password: str, now: datetime
) -> str:
    """Propose to destroy what is kept of a person at a task; return the session's new token.

    Raises:
        NotFound: there is no such person or task.
        NotAllowed: it is about the actor.
        KeepingGoesOn: it is kept on, or something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    return _say(db, actor, person_id, task_id, Word.PROPOSED, reason, password, now)


def confirm(
    db: Database, actor: Actor, person_id: str, task_id: str, *, reason: str, password: str, now: datetime
) -> str:
    """Destroy what another supervisor proposed to destroy; return the session's new token.

    Raises:
        NotFound: there is no such person or task.
        NotAllowed: it is about the actor, or the actor proposed it.
        KeepingGoesOn: nothing is proposed, it is kept on, or something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    token = _say(db, actor, person_id, task_id, Word.CONFIRMED, reason, password, now)
    destruction.settle(db)
    return token


def hold(
    db: Database, actor: Actor, person_id: str, task_id: str, *, reason: str, password: str, now: datetime
) -> str:
    """Hold back what is kept, because of a dispute or an investigation; an open proposal ends. Return the new token.

    Raises:
        NotFound: there is no such person or task.
        KeepingGoesOn: it is held already, or something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    return _say(db, actor, person_id, task_id, Word.HELD, reason, password, now)


def lift(
    db: Database, actor: Actor, person_id: str, task_id: str, *, reason: str, password: str, now: datetime
) -> str:
    """End a hold; destroying takes two people afterwards as before. Return the session's new token.

    Raises:
        NotFound: there is no such person or task.
        NotAllowed: it is about the actor.
        KeepingGoesOn: nothing is held, or something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    return _say(db, actor, person_id, task_id, Word.LIFTED, reason, password, now)


_NEEDS = {
    Word.PROPOSED: Permission.KEEPING_PROPOSE,
    Word.CONFIRMED: Permission.KEEPING_DECIDE,
    Word.HELD: Permission.KEEPING_DECIDE,
    Word.LIFTED: Permission.KEEPING_DECIDE,
}
_ACTIONS = {
    Word.PROPOSED: "keeping:propose",
    Word.CONFIRMED: "keeping:confirm",
    Word.HELD: "keeping:hold",
    Word.LIFTED: "keeping:lift",
}


@dataclass(frozen=True)
class _Pair:
    person: Person
    task_id: str
    today: date
    kept: TaskKept
    counted: Counted
    events: tuple[KeepingEvent, ...]
    numbers: tuple[str, ...]

    @staticmethod
    def read(unit: Unit, person: Person, task_id: str, today: date) -> _Pair:
        events = keeping.of_pair(unit, person.id, task_id)
        held = qualifications.of_person(unit, person.id, task_id=task_id)
        papers = [p for p in earlier.of_person(unit, person.id) if p.record.task == task_id]
        terms = [*(q.term for q in held), *(p.term for p in papers)]
        left = person.retired_at.date() if person.retired_at else None
        holding = [*(q.term for q in held), *(p.term for p in papers if p.stands)]
        running = [term.last_day for term in holding if term.valid_from <= today <= term.last_day]
        hold_open = open_one(events, Word.HELD)
        return _Pair(
            person=person,
            task_id=task_id,
            today=today,
            kept=TaskKept(
                ends=tuple(_no_later(end_of(term.last_day, term.ended_on), left) for term in terms),
                # Whoever has left works under none of them.
                runs_until=max(running) if running and left is None else None,
                done_on=left or _stopped_on(unit, person.id, task_id),
                held_because=hold_open.reason if hold_open else "",
            ),
            counted=keeping.counted(unit, person.id, task_id),
            events=events,
            numbers=tuple(term.number for term in terms),
        )

    @property
    def proposal(self) -> KeepingEvent | None:
        return open_one(self.events, Word.PROPOSED)

    @property
    def hold(self) -> KeepingEvent | None:
        return open_one(self.events, Word.HELD)

    @property
    def why_kept(self) -> str:
        return self.kept.why_kept(self.today) or ""

    def refusal(self, actor: Actor, word: Word) -> str | None:
        """Return why this actor cannot say this word, None when they can."""
        if not self.counted.any:
            return "Nothing is kept of this person at this task any more."
        if word is Word.HELD:
            return "It is held already." if self.hold else None
        if actor.person_id == self.person.id:
            return NOT_ONESELF
        if word is Word.LIFTED:
            return None if self.hold else "Nothing is held here."
        if word is Word.CONFIRMED and self.proposal is None:
            return "Nothing is proposed here."
        if word is Word.CONFIRMED and self.proposal is not None and self.proposal.by == actor.person_id:
            return BY_ANOTHER
        if word is Word.PROPOSED and self.proposal is not None:
            return "It is proposed already; another person confirms it, or holds it back."
        return self.why_kept or None

    def about(self, word: Word) -> KeepingEvent | None:
        """Return what a word ends."""
        return {Word.CONFIRMED: self.proposal, Word.HELD: self.proposal, Word.LIFTED: self.hold}.get(word)


NOT_ONESELF = "Nobody decides about their own records."
BY_ANOTHER = "You proposed it; another person confirms it (house rule: two people)."


def _no_later(day: date, left: date | None) -> date:
    return min(day, left) if left else day


def _stopped_on(unit: Unit, person_id: str, task_id: str) -> date | None:
    """Return since when it is noted that somebody does a task no more; None when they have taken it up again."""
    stops = [
        event
        for event in life_events.of_person(unit, person_id)
        if event.task_id == task_id and event.act is Happened.STOPPED
    ]
    if not stops:
        return None
    named = modules.of_task(unit, task_id)
    given = [one for one in assignments.ever_of(unit, person_id) if one.module_id in named]
    if any(one.withdrawn_at is None for one in given):
        return None
    signed = [q.signed_at for q in qualifications.of_person(unit, person_id, task_id=task_id)]
    papers = [p for p in earlier.of_person(unit, person_id) if p.stands and p.record.task == task_id]
    signed_since = any(at > stops[-1].at for at in (*signed, *(p.check.at for p in papers if p.check)))
    if signed_since:
        return None
    # Whoever took the task up again for a while did it until it was taken off their sheet.
    return max([stops[-1].on, *(one.withdrawn_at.date() for one in given if one.withdrawn_at)])


def _say(
    db: Database,
    actor: Actor,
    person_id: str,
    task_id: str,
    word: Word,
    reason: str,
    password: str,
    now: datetime,
) -> str:
    told = reason.strip()
    with db.reading() as unit:
        _must(unit, actor, person_id, task_id, word, told, now)
    actor = accounts.signing(db, actor, password, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        people.lock(unit, person_id)
        _keep(unit, actor, _must(unit, actor, person_id, task_id, word, told, now), word, told, now)
    return token


def _must(
    unit: Unit, actor: Actor, person_id: str, task_id: str, word: Word, reason: str, now: datetime
) -> _Pair:
    actor.must(_NEEDS[word])
    person = found(unit, person_id)
    task_of(unit, task_id)
    pair = _Pair.read(unit, person, task_id, now.date())
    refused = pair.refusal(actor, word)
    if refused in (NOT_ONESELF, BY_ANOTHER):
        raise NotAllowed(_NEEDS[word], refused)
    if refused:
        raise KeepingGoesOn(refused)
    if not reason:
        raise KeepingGoesOn("Write down the reason.")
    if len(reason) > _LONGEST_REASON:
        raise KeepingGoesOn(f"The reason holds {_LONGEST_REASON:,} characters at most.")
    return pair


def _keep(unit: Unit, actor: Actor, pair: _Pair, word: Word, reason: str, now: datetime) -> None:
    about = pair.about(word)
    carries = bool(_carried(unit))
    earliest = pair.kept.earliest if word in (Word.PROPOSED, Word.CONFIRMED) else None
    number = keeping.add(
        unit,
        person_id=pair.person.id,
        task_id=pair.task_id,
        act=word,
        on=pair.today,
        earliest=earliest,
        reason=reason,
        about=about,
        by=actor.person_id,
        by_name=actor.display_name,
        at=now,
    )
    journal.note(
        unit,
        actor,
        _ACTIONS[word],
        at=now,
        event=number,
        person=pair.person.id,
        task=pair.task_id,
        on=pair.today.isoformat(),
        earliest=earliest.isoformat() if earliest else "",
        reason=reason,
        about=about.id if about else 0,
        by_name=actor.display_name,
        session=actor.session or 0,
        **(_destroyed(unit, pair, number) if word is Word.CONFIRMED else {}),
    )
    if word is Word.CONFIRMED and carries:
        # What stays of the rows that were once carried into the log is carried anew.
        carried.write(unit, now=now)


def _destroyed(unit: Unit, pair: _Pair, confirmation: int) -> dict[str, object]:
    """Destroy the content, and return what the log says of it: what stays of each entry, and which records went."""
    numbers = sorted({*kept_log.of_task(unit, pair.person.id, pair.task_id), *_carried(unit)})
    left = list(kept_ledger.left_of(unit, numbers))
    destruction.entries(unit, numbers, confirmation)
    destruction.rows(unit, pair.person.id, pair.task_id)
    return {"entries": left, "records": sorted(pair.numbers), "kept": pair.counted.as_data()}


def _carried(unit: Unit) -> tuple[int, ...]:
    """Return the entries into which whole tables were written, everybody's rows together."""
    return tuple(event.number for event in kept_events.by_action(unit, (carried.CARRIED,)))


def _line(unit: Unit, person_id: str, task_id: str, today: date) -> KeptLine | None:
    person, task = people.by_id(unit, person_id), task_of(unit, task_id)
    if person is None:
        return None
    pair = _Pair.read(unit, person, task_id, today)
    if not pair.counted.any or pair.kept.done_on is None:
        return None
    due = not pair.why_kept
    state = _STATES[due]
    if pair.hold is not None:
        state = f"held: {pair.hold.reason}"
    elif pair.proposal is not None:
        state = f"proposed by {pair.proposal.by_name}"
    return KeptLine(
        person.id, person.display_name, task_id, task.title, pair.kept.done_on, pair.kept.earliest, state, due
    )


_STATES = {True: "may be destroyed", False: "kept"}
