"""Qualifications transcribed from earlier papers: who holds them against the paper, and what comes of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import accounts, journal, ledger, sitting, sitting_release
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.permissions import Permission, why_not_check
from trainer.actions.signed_records import may_read_record
from trainer.actions.views import EarlierView
from trainer.errors import TrainerError
from trainer.records.earlier import MEANING_CHECKED, MEANING_TURNED_DOWN
from trainer.records.qualification import Signature, standing
from trainer.store import earlier, life_events, people, qualifications
from trainer.store.earlier import Check
from trainer.store.life_events import Happened

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.store.earlier import Earlier
    from trainer.store.session import Database, Unit

_WAITS = "transcribed, waits to be held against the paper"
_LONGEST_REASON = 400


class NothingChosen(TrainerError):
    """A signature without a record under it."""

    def __init__(self) -> None:
        super().__init__("Tick the records that you have held against their papers.")


class CheckedAlready(TrainerError):
    """Somebody has put their name to the record meanwhile."""

    def __init__(self, number: str) -> None:
        super().__init__(f"{number} was held against its paper meanwhile; nothing was signed.")


class ReasonMissing(TrainerError):
    """A record is turned down without saying why."""

    def __init__(self) -> None:
        super().__init__(
            f"Say in at most {_LONGEST_REASON} characters what the paper says, or why it does not stand."
        )


def waiting(db: Database, actor: Actor, *, now: datetime) -> tuple[EarlierView, ...]:
    """Return the transcribed records that nobody has held against the paper yet."""
    actor.must(Permission.QUALIFICATION_SIGN)
    with db.reading() as unit:
        return tuple(_view(unit, kept, now.date(), actor) for kept in earlier.waiting(unit))


def check(
    db: Database,
    actor: Actor,
    numbers: Iterable[str],
    *,
    turned_down_because: str = "",
    password: str,
    now: datetime,
) -> str:
    """Put the actor's name to transcribed records: the paper says the same, or they do not stand; return the new token.

    Args:
        db: the database.
        actor: the supervisor who has the papers in front of them.
        numbers: the records.
        turned_down_because: why they do not stand; "" when the papers say the same.
        password: the supervisor's password again.
        now: the time.

    Raises:
        NothingChosen: no number is given.
        NotFound: there is no such record.
        CheckedAlready: somebody was first.
        NotAllowed: this actor may not sign for one of them.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    actor.must(Permission.QUALIFICATION_SIGN)
    chosen = sorted(set(numbers))
    because = " ".join(turned_down_because.split())
    if not chosen:
        raise NothingChosen
    if len(because) > _LONGEST_REASON:
        raise ReasonMissing
    with db.reading() as unit:
        for number in chosen:
            _must_check(unit, actor, number)
    actor = accounts.signing(db, actor, password, now=now)
    word = Check(
        because,
        actor.person_id,
        actor.display_name,
        now,
        MEANING_TURNED_DOWN if because else MEANING_CHECKED,
    )
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        for person_id in sorted({_must_check(unit, actor, number).record.person_id for number in chosen}):
            people.lock(unit, person_id)
        for number in chosen:
            kept = _must_check(unit, actor, number)
            earlier.add_check(unit, number, word)
            ended = None if because else _end_if_renewed(unit, kept)
            on, end_because = ended or (None, "")
            journal.note(
                unit,
                actor,
                "earlier:turn_down" if because else "earlier:check",
                at=now,
                number=number,
                because=because,
                checker_name=word.name,
                meaning=word.meaning,
                ended_on=on.isoformat() if on else "",
                ended_because=end_because,
                session=actor.session,
            )
        ledger.sign_when_possible(unit, db.keys, now=now)
    return token


def turn_down(
    db: Database, actor: Actor, numbers: Iterable[str], *, because: str, password: str, now: datetime
) -> str:
    """Turn transcribed records down with a reason; return the new token. See `check` for what it raises.

    Raises:
        ReasonMissing: no reason is given, or it is too long.
    """
    if not because.strip():
        raise ReasonMissing
    return check(db, actor, numbers, turned_down_because=because, password=password, now=now)


def _must_check(unit: Unit, actor: Actor, number: str) -> Earlier:
    kept = earlier.by_number(unit, number)
    if kept is None:
        raise NotFound("transcribed record", number)
    if kept.check is not None:
        raise CheckedAlready(number)
    why_not = why_not_check(
        checker=actor.person_id,
        person=kept.record.person_id,
        transcribed_by=kept.record.transcribed.person,
    )
    if why_not:
        raise NotAllowed(Permission.QUALIFICATION_SIGN, why_not)
    return kept


def _end_if_renewed(unit: Unit, kept: Earlier) -> tuple[date, str] | None:
    """End a record that a qualification of our own has taken over from before it was transcribed; return when and why."""
    record = kept.record
    own = [
        item
        for item in qualifications.of_person(unit, record.person_id)
        if item.task_id == record.task and record.valid_from < item.valid_from <= record.valid_until
    ]
    if not own:
        return None
    first = min(own, key=lambda item: item.valid_from)
    because = f"Superseded by {first.number}."
    earlier.end(unit, record.number, on=first.valid_from, because=because)
    return first.valid_from, because


def record(db: Database, actor: Actor, number: str, *, now: datetime) -> EarlierView:
    """Return a transcribed record: the actor's own, or one they may read.

    Raises:
        NotFound: there is none for this actor.
    """
    with db.reading() as unit:
        kept = earlier.by_number(unit, number)
        person = people.by_id(unit, kept.record.person_id) if kept else None
        if kept is None or person is None or not may_read_record(actor, person):
            raise NotFound("transcribed record", number)
        return _view(unit, kept, now.date(), actor)


def mine(db: Database, actor: Actor, *, now: datetime) -> tuple[EarlierView, ...]:
    """Return the actor's own transcribed records."""
    actor.must(Permission.RECORD_OWN)
    with db.reading() as unit:
        return of_person(unit, actor, actor.person_id, now.date())


def of_person(unit: Unit, actor: Actor, person_id: str, today: date) -> tuple[EarlierView, ...]:
    """Return all transcribed records of a person whom the actor may see."""
    return tuple(_view(unit, kept, today, actor) for kept in earlier.of_person(unit, person_id))


def withdraw(db: Database, actor: Actor, number: str, *, because: str, password: str, now: datetime) -> str:
    """End a transcribed record that stands, with a reason: from today on it qualifies nobody; return the new token.

    Raises:
        NotFound: there is no such record that stands today.
        ReasonMissing: no reason is given, or it is too long.
        NotAllowed: nobody ends a record of their own.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    actor.must(Permission.QUALIFICATION_SIGN)
    reason = " ".join(because.split())
    if not 0 < len(reason) <= _LONGEST_REASON:
        raise ReasonMissing
    with db.reading() as unit:
        kept = _must_end(unit, actor, number, now.date())
    actor = accounts.signing(db, actor, password, now=now)
    sitting.settle_open(db, actor, kept.record.person_id, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        kept = _must_end(unit, actor, number, now.date())
        people.lock(unit, kept.record.person_id)
        ended_because = f"Withdrawn by {actor.display_name}: {reason}"
        if not earlier.end(unit, number, on=now.date(), because=ended_because):
            raise NotFound("transcribed record", number)
        sitting_release.end_with_round(
            unit,
            actor,
            kept.record.person_id,
            kept.record.task,
            because=f"{number} withdrawn: what was answered before counts no more.",
            now=now,
        )
        event = life_events.add(
            unit,
            person_id=kept.record.person_id,
            task_id=kept.record.task,
            act=Happened.WITHDRAWN,
            on=now.date(),
            reason=reason,
            number=number,
            by=actor.person_id,
            by_name=actor.display_name,
            at=now,
            on_paper=True,
        )
        journal.note(
            unit,
            actor,
            "earlier:withdraw",
            at=now,
            event=event,
            number=number,
            person=kept.record.person_id,
            task=kept.record.task,
            on=now.date().isoformat(),
            because=reason,
            by_name=actor.display_name,
            ended_because=ended_because,
            session=actor.session,
        )
        ledger.sign_when_possible(unit, db.keys, now=now)
    return token


def _must_end(unit: Unit, actor: Actor, number: str, today: date) -> Earlier:
    kept = earlier.by_number(unit, number)
    if kept is None or not kept.stands or kept.ended_on is not None or kept.term.last_day < today:
        raise NotFound("transcribed record", number)
    if kept.record.person_id == actor.person_id:
        raise NotAllowed(Permission.QUALIFICATION_SIGN, "Nobody signs for themselves.")
    return kept


def _view(unit: Unit, kept: Earlier, today: date, actor: Actor) -> EarlierView:
    person = people.by_id(unit, kept.record.person_id)
    word = kept.check
    where = (
        standing(
            assigned=True,
            ready=False,
            valid_until=kept.term.last_day,
            today=today,
            suspended=any(item.covers(today) for item in kept.suspended),
        )
        if kept.stands
        else None
    )
    if word is None:
        state = _WAITS
    elif where is None:
        state = f"turned down: {word.turned_down_because}"
    else:
        state = where.words
    return EarlierView(
        record=kept.record,
        person_name=person.display_name if person else kept.record.person,
        standing=where,
        state=state,
        checked=Signature(word.name, word.by, word.at, word.meaning) if word else None,
        ended_on=kept.ended_on,
        ended_because=kept.ended_because,
        why_not=why_not_check(
            checker=actor.person_id,
            person=kept.record.person_id,
            transcribed_by=kept.record.transcribed.person,
        )
        or "",
    )
