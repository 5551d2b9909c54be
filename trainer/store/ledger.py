"""The proof of the log: hashes kept beside the events, checkpoints over them, and reading them as a tree."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import String, bindparam, func, insert, select, type_coerce

from trainer.records import merkle
from trainer.records.audit import Kept
from trainer.records.log_entry import entry, moment
from trainer.records.log_entry import left_of as left_of_entry
from trainer.store.schema.log import checkpoints, events, ledger

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from datetime import datetime

    from sqlalchemy import Select

    from trainer.store.session import Unit

# Rows fetched at once when a whole log is gone through: memory stays the same however long it is.
_AT_ONCE = 1000

# An entry with its payload; no payload was ever empty when it was written.
_WHOLE = events.c.payload != ""

# Built once: they are part of every change that anybody makes.
_ADD = insert(ledger)
_HASHES = select(ledger.c.number, ledger.c.hashes).where(
    ledger.c.number.in_(bindparam("numbers", expanding=True))
)


def append(unit: Unit, number: int, written: bytes) -> None:
    """Add the hash of an entry and those of the subtrees it completes.

    Args:
        unit: the transaction that added the event.
        number: the event's number; the one before is in the ledger already.
        written: its bytes, as `records.log_entry` gives them.
    """
    siblings = _nodes(unit, merkle.siblings_of_new(number - 1))
    hashes = merkle.completed(merkle.leaf_hash(written), siblings)
    unit.execute(_ADD, {"number": number, "hashes": b"".join(hashes)})


def _nodes(unit: Unit, addresses: tuple[merkle.Address, ...]) -> list[bytes]:
    if not addresses:
        return []
    numbers = [merkle.completed_by(address) + 1 for address in addresses]
    found = {row.number: row.hashes for row in unit.execute(_HASHES, {"numbers": numbers})}
    return [_at(found[number], level) for number, (level, _) in zip(numbers, addresses, strict=True)]


def _at(hashes: bytes, level: int) -> bytes:
    begin = level * merkle.HASH_BYTES
    return hashes[begin : begin + merkle.HASH_BYTES]


def size(unit: Unit) -> int:
    """Return how many entries the ledger has."""
    newest: int = unit.execute(select(func.coalesce(func.max(ledger.c.number), 0))).scalar_one()
    return newest


def root(unit: Unit, of: int) -> bytes:
    """Return the root over the first so many entries."""
    return merkle.root_of_peaks(_nodes(unit, merkle.peaks(of)))


def tree(unit: Unit) -> Callable[[merkle.Address], bytes]:
    """Return what gives the hash of a complete subtree by its address, for making proofs."""
    return lambda address: _nodes(unit, (address,))[0]


def written(unit: Unit, number: int) -> bytes | None:
    """Return the bytes of an entry, or None when there is none of this number or its payload was destroyed."""
    row = unit.execute(_entries(unit).where(events.c.number == number, _WHOLE)).one_or_none()
    return None if row is None else _entry(*row)


def is_destroyed(unit: Unit, number: int) -> bool:
    """Return whether there is an entry of this number and its payload was destroyed."""
    return unit.execute(select(events.c.number).where(events.c.number == number, ~_WHOLE)).first() is not None


def left_of(unit: Unit, numbers: Iterable[int]) -> Iterator[dict[str, Any]]:
    """Yield what stays of entries when their payload goes: number, time, person, action and leaf hash, as plain values."""
    for part in _batched(sorted(numbers)):
        asked = (
            _entries(unit)
            .add_columns(ledger.c.hashes)
            .join_from(events, ledger, events.c.number == ledger.c.number)
            .where(events.c.number.in_(part))
            .order_by(events.c.number)
        )
        for number, at, person_id, action, _, hashes in unit.execute(asked):
            yield {
                "action": action,
                "at": _written(at),
                "leaf": _at(bytes(hashes), 0).hex(),
                "number": number,
                "person": person_id or "",
            }


def _batched(numbers: Sequence[int]) -> Iterator[Sequence[int]]:
    for begin in range(0, len(numbers), _AT_ONCE):
        yield numbers[begin : begin + _AT_ONCE]


def every(unit: Unit) -> Iterator[Kept]:
    """Yield all entries with their hashes, in the order of their numbers; an event without hashes has empty ones."""
    asked = (
        _entries(unit)
        .add_columns(ledger.c.hashes)
        .join_from(events, ledger, events.c.number == ledger.c.number, isouter=True)
        .order_by(events.c.number)
    )
    # Closed also when the reader stops half way: a server's cursor would stay open.
    with unit.execute(asked.execution_options(yield_per=_AT_ONCE)) as rows:
        for part in rows.partitions():
            for number, at, person_id, action, payload, hashes in part:
                who, when = person_id or "", _written(at)
                if payload == "":
                    left = left_of_entry(number=number, at=when, person_id=who, action=action)
                    yield Kept(number, left, hashes or b"", destroyed=True)
                else:
                    whole = entry(number=number, at=when, person_id=who, action=action, payload=payload)
                    yield Kept(number, whole, hashes or b"")


def _entries(unit: Unit) -> Select[Any]:
    # SQLite keeps a time as text, and reading it as a time would overlook some changes in that text.
    at = type_coerce(events.c.at, String) if unit.dialect.name == "sqlite" else events.c.at
    return select(events.c.number, at.label("at"), events.c.person_id, events.c.action, events.c.payload)


def _entry(number: int, at: datetime | str, person_id: str | None, action: str, payload: str) -> bytes:
    return entry(number=number, at=_written(at), person_id=person_id or "", action=action, payload=payload)


def _written(at: datetime | str) -> str:
    return at.replace(" ", "T", 1) + "Z" if isinstance(at, str) else moment(at)


def entry_at(unit: Unit, person_id: str, action: str, at: datetime) -> Iterator[tuple[int, str]]:
    """Yield number and payload of what a person did at one moment, by its action."""
    e = events.c
    rows = unit.execute(
        select(e.number, e.payload)
        .where(e.person_id == person_id, e.action == action, e.at == at, _WHOLE)
        .order_by(e.number)
    )
    yield from ((row.number, row.payload) for row in rows)


def entries_of(unit: Unit, person_id: str, action: str) -> Iterator[tuple[int, str]]:
    """Yield number and payload of everything that a person did by an action, the earliest first."""
    e = events.c
    rows = unit.execute(
        select(e.number, e.payload)
        .where(e.person_id == person_id, e.action == action, _WHOLE)
        .order_by(e.number)
    )
    yield from ((row.number, row.payload) for row in rows)


def checkpoint_over(unit: Unit, number: int) -> str:
    """Return the first checkpoint signed over an entry, "" when none was signed since."""
    note: str | None = unit.execute(
        select(checkpoints.c.note).where(checkpoints.c.size >= number).order_by(checkpoints.c.size).limit(1)
    ).scalar_one_or_none()
    return note or ""


def add_checkpoint(unit: Unit, of: int, note: str, at: datetime) -> None:
    """Keep a signed checkpoint over the first so many entries."""
    unit.execute(insert(checkpoints), {"size": of, "at": at, "note": note})


def newest_checkpoint(unit: Unit) -> str | None:
    """Return the checkpoint over the most entries, or None."""
    note: str | None = unit.execute(
        select(checkpoints.c.note).order_by(checkpoints.c.size.desc()).limit(1)
    ).scalar_one_or_none()
    return note


def every_checkpoint(unit: Unit) -> tuple[str, ...]:
    """Return all checkpoints, the oldest first."""
    rows = unit.execute(select(checkpoints.c.note).order_by(checkpoints.c.size))
    return tuple(row.note for row in rows)
