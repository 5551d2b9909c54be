"""The outbox: what the log tells goes out to another system, each statement once, and waits when that fails.

Nothing of it happens while somebody waits for a page; whoever looks after the server runs it by the clock.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import timedelta
from itertools import islice
from typing import TYPE_CHECKING

from trainer.actions import activity, journal
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.exports.activity.post import Fate, Receiver, post
from trainer.exports.activity.sound import StatementUnsound, sound_statement
from trainer.exports.activity.statements import statement
from trainer.store import outbox

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.exports.activity.done import Done
    from trainer.store.outbox import Counted, Refused, Waiting
    from trainer.store.session import Database, Unit

BATCH = 50
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=6)
_SHOWN = 20
_ENTRIES_AT_A_TIME = 200


class NoReceiver(TrainerError):
    """The installation does not say where statements go."""

    def __init__(self) -> None:
        super().__init__("No receiver is set: name its address as `statements_to` in settings.toml.")


@dataclass(frozen=True)
class Run:
    """What one run came to: how many arrived, were refused for good, still wait; and why, a sentence each."""

    sent: int
    refused: int
    waiting: int
    next_at: datetime | None
    told: tuple[str, ...]


@dataclass(frozen=True)
class Standing:
    """How the outbox stands, and what was refused of late, newest first."""

    counted: Counted
    refused: tuple[Refused, ...]


def status(db: Database, actor: Actor) -> Standing:
    """Return how the outbox stands; what the log tells since the last run is not counted yet."""
    actor.must(Permission.LEDGER_READ)
    with db.reading() as unit:
        return Standing(outbox.counted(unit), outbox.refusals(unit, limit=_SHOWN))


def wait_after(tries: int) -> timedelta:
    """Return how long to wait after so many failures in a row: twice as long each time, up to a longest."""
    doubled = FIRST_WAIT.total_seconds() * float(2 ** min(max(tries, 1) - 1, 16))
    return min(timedelta(seconds=doubled), LONGEST_WAIT)


def send(db: Database, actor: Actor, receiver: Receiver, *, now: datetime, anyway: bool = False) -> Run:
    """Take in what the log tells anew and send what waits, batch by batch, until all is out or something fails.

    A statement keeps its id and its text, so that one that arrived although the answer got lost does no harm when it
    comes again. A batch that is refused is sent one by one, so that a bad statement holds up no good one.

    Args:
        db: the database.
        actor: who sends; it speaks in the name of the log.
        receiver: where to.
        now: the time.
        anyway: try although the time to wait after a failure is not over.

    Raises:
        NoReceiver: the address is empty.
    """
    actor.must(Permission.LEDGER_SIGN)
    if not receiver.address:
        raise NoReceiver
    _take_in(db, now)
    with db.reading() as unit:
        due = outbox.next_due(unit)
    if due is not None and due > now and not anyway:
        return _run(db, 0, 0, ["The last try failed; it is not time for the next one yet."])
    sent, refused, told = 0, 0, list[str]()
    while True:
        with db.reading() as unit:
            batch = outbox.waiting(unit, limit=BATCH)
        if not batch:
            break
        done = _hand_over(db, receiver, batch, now)
        sent, refused = sent + done.sent, refused + done.refused
        told += done.told
        if done.stopped:
            break
    if sent or refused:
        with db.writing() as unit:
            journal.note(
                unit,
                actor,
                "statement:send",
                at=now,
                to=receiver.resource,
                sent=sent,
                refused=refused,
                through=outbox.newest_entry(unit),
            )
    return _run(db, sent, refused, told)


def _run(db: Database, sent: int, refused: int, told: Sequence[str]) -> Run:
    with db.reading() as unit:
        stands = outbox.counted(unit)
    return Run(sent, refused, stands.waiting, stands.next_at, tuple(told))


def _take_in(db: Database, now: datetime) -> None:
    """Put what the log tells since the last time into the outbox.

    What it tells is worked out while others may write, some entries at a time.
    """
    while True:
        with db.reading() as unit:
            found = list(islice(_since_last(unit, db.home), _ENTRIES_AT_A_TIME))
        if not found:
            return
        with db.writing() as unit:
            for entry, rows in found:
                for statement_id, text, why in rows:
                    outbox.add(
                        unit, statement_id=statement_id, entry=entry, statement=text, at=now, refused=why
                    )


def _since_last(unit: Unit, home: str) -> Iterator[tuple[int, list[tuple[str, str, str]]]]:
    for entry, told in activity.since(unit, home, outbox.newest_entry(unit)):
        yield entry, [_row(done) for done in told]


def _row(done: Done) -> tuple[str, str, str]:
    """Return the id of a statement, its text, and why it must not go out, "" when it may."""
    why = ""
    try:
        made = sound_statement(done)
    except StatementUnsound as fault:
        # It stays here with its reason, and holds up nothing.
        made, why = statement(done), str(fault)
    text = json.dumps(made, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return made["id"], text, why


@dataclass(frozen=True)
class _Done:
    sent: int = 0
    refused: int = 0
    told: tuple[str, ...] = ()
    stopped: bool = False


def _hand_over(db: Database, receiver: Receiver, batch: Sequence[Waiting], now: datetime) -> _Done:
    reply = post(receiver, [one.statement for one in batch])
    if reply.fate is Fate.REFUSED and len(batch) > 1:
        return _one_by_one(db, receiver, batch, now)
    with db.writing() as unit:
        if reply.fate is Fate.TAKEN:
            outbox.sent(unit, [one.id for one in batch], now)
            return _Done(sent=len(batch))
        if reply.fate is Fate.REFUSED:
            outbox.refuse(unit, batch[0].id, reply.why)
            return _Done(refused=1, told=(reply.why,))
        _put_off(unit, batch, now)
    return _Done(told=(reply.why,), stopped=True)


def _one_by_one(db: Database, receiver: Receiver, batch: Sequence[Waiting], now: datetime) -> _Done:
    sent, refused, told = 0, 0, list[str]()
    for number, one in enumerate(batch):
        done = _hand_over(db, receiver, [one], now)
        sent, refused = sent + done.sent, refused + done.refused
        told += done.told
        if done.stopped:
            with db.writing() as unit:
                _put_off(unit, batch[number + 1 :], now)
            return _Done(sent, refused, tuple(told), stopped=True)
    return _Done(sent, refused, tuple(told))


def _put_off(unit: Unit, batch: Sequence[Waiting], now: datetime) -> None:
    if batch:
        tries = 1 + max(one.tries for one in batch)
        outbox.put_off(unit, [one.id for one in batch], now + wait_after(tries))
