"""The outbox against a system on this machine that fails in every way: nothing is lost, nothing arrives twice."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests import receiver
from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, INES, MIRA
from tests.receiver import DROP, SILENT, System
from trainer.actions import activity, outbox
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.exports.activity.post import Receiver
from trainer.exports.activity.statements import statement
from trainer.store import events

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.actions.opening import Database
    from trainer.actions.outbox import Run

MINUTE = timedelta(minutes=1)


@pytest.fixture
def system() -> Iterator[System]:
    with receiver.running() as started:
        yield started


@pytest.fixture
def ids(db: Database) -> list[str]:
    """Ama has answered four drills; the ids of what the log tells, in its order."""
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    for _ in range(4):
        bench.practise_once(db, ama)
    with db.reading() as unit:
        return [statement(done)["id"] for _, told in activity.since(unit, db.home) for done in told]


def _send(
    db: Database,
    system: System,
    after: timedelta = timedelta(),
    *,
    anyway: bool = False,
    patience: float = 60,
) -> Run:
    to = Receiver(system.address, "key", timeout=patience)
    return outbox.send(db, SYSTEM, to, now=NOW + after, anyway=anyway)


def _noted(db: Database) -> list[dict[str, object]]:
    with db.reading() as unit:
        return [json.loads(e.payload) for e in events.since(unit) if e.action == "statement:send"]


def test_all_goes_out_once_and_then_only_what_is_new(db: Database, system: System, ids: list[str]) -> None:
    run = _send(db, system)
    assert (run.sent, run.refused, run.waiting, run.told) == (4, 0, 0, ())
    assert list(system.kept) == ids
    assert len(system.heard) == 1
    assert _send(db, system).sent == 0
    assert len(system.heard) == 1
    bench.practise_once(db, bench.enter(db, AMA))
    assert _send(db, system).sent == 1
    assert len(system.kept) == 5
    assert [(note["sent"], note["refused"]) for note in _noted(db)] == [(4, 0), (1, 0)]
    assert outbox.status(db, SYSTEM).counted.sent == 5


@pytest.mark.parametrize("told", [500, 503, 429, 401, 302, DROP, SILENT])
def test_after_a_failure_all_waits_and_then_goes_out(
    db: Database, system: System, ids: list[str], told: int | str
) -> None:
    system.next = [told]
    run = _send(db, system, patience=0.3 if told == SILENT else 60)
    assert (run.sent, run.refused, run.waiting, run.next_at) == (0, 0, 4, NOW + MINUTE)
    assert len(run.told) == 1
    system.await_requests(1)
    early = _send(db, system, MINUTE / 2)
    assert "not time for the next one" in early.told[0]
    assert len(system.heard) == 1
    assert _send(db, system, MINUTE).sent == 4
    assert list(system.kept) == ids


def test_waiting_doubles_up_to_a_longest(db: Database, system: System, ids: list[str]) -> None:
    assert ids
    at, waits = timedelta(), []
    for _ in range(12):
        system.next = [500]
        run = _send(db, system, at)
        assert run.next_at is not None
        waits.append((run.next_at - NOW - at) / MINUTE)
        at = run.next_at - NOW
    assert waits == [1, 2, 4, 8, 16, 32, 64, 128, 256, 360, 360, 360]
    assert outbox.status(db, SYSTEM).counted.tries == 12
    assert _send(db, system, at - MINUTE, anyway=True).sent == 4
    assert outbox.wait_after(10_000) == outbox.LONGEST_WAIT


def test_what_arrived_although_the_answer_got_lost_does_no_harm(
    db: Database, system: System, ids: list[str]
) -> None:
    system.next, system.drops_after_taking = [DROP], True
    assert _send(db, system).waiting == 4
    assert list(system.kept) == ids
    assert _send(db, system, MINUTE).sent == 4
    assert list(system.kept) == ids
    first, second = (heard.statements for heard in system.heard)
    assert first == second


def test_a_bad_statement_holds_up_no_good_one(db: Database, system: System, ids: list[str]) -> None:
    system.bad = {ids[1]: 409, ids[2]: 400}
    run = _send(db, system)
    assert (run.sent, run.refused, run.waiting) == (2, 2, 0)
    assert list(system.kept) == [ids[0], ids[3]]
    stands = outbox.status(db, SYSTEM)
    assert [(one.statement_id, "(409)" in one.why) for one in stands.refused] == [
        (ids[2], False),
        (ids[1], True),
    ]
    heard = len(system.heard)
    assert _send(db, system, MINUTE).sent == 0
    assert len(system.heard) == heard


def test_a_failure_among_single_ones_keeps_the_rest_waiting(
    db: Database, system: System, ids: list[str]
) -> None:
    system.next = [400, receiver.TAKE, 500]
    run = _send(db, system)
    assert (run.sent, run.refused, run.waiting, run.next_at) == (1, 0, 3, NOW + MINUTE)
    assert _send(db, system, MINUTE).sent == 3
    assert list(system.kept) == ids


def test_much_goes_out_in_batches(
    db: Database, system: System, ids: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(outbox, "BATCH", 3)
    monkeypatch.setattr(outbox, "_ENTRIES_AT_A_TIME", 1)
    assert _send(db, system).sent == 4
    assert [len(heard.statements) for heard in system.heard] == [3, 1]
    assert list(system.kept) == ids


def test_a_sitting_goes_out_when_it_has_ended(db: Database, system: System) -> None:
    bench.give_module(db, AMA)
    number = bench.release(db, AMA)
    assert _send(db, system).sent == 0
    bench.sit(db, AMA, number)
    run = _send(db, system)
    assert run.sent == len(system.kept) > 0
    assert all("contextActivities" in one["context"] for one in system.kept.values())


def test_who_may_send_and_where(db: Database, system: System) -> None:
    with pytest.raises(outbox.NoReceiver, match="statements_to"):
        outbox.send(db, SYSTEM, Receiver(""), now=NOW)
    for someone in (MIRA, INES):
        with pytest.raises(NotAllowed):
            outbox.send(db, bench.enter(db, someone), Receiver(system.address), now=NOW)
    with pytest.raises(NotAllowed):
        outbox.status(db, bench.enter(db, MIRA))
    assert system.heard == []
