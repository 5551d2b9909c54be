"""Running numbers, and the log of everything that people do."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, Integer, LargeBinary, String, Table, Text

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

sequences = Table(
    "sequences",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("last", Integer, nullable=False),
    CheckConstraint("last > 0", name="last_is_positive"),
)

# Numbers follow one another without a gap, in the order of commit; `payload` is kept byte for byte.
# `person_id` is empty for what the command line on the host does.
events = Table(
    "events",
    metadata,
    Column("number", RowNumber, primary_key=True, autoincrement=False),
    Column("at", UtcTime, nullable=False),
    Column("person_id", ForeignKey("people.id")),
    Column("action", String(60), nullable=False),
    Column("payload", Text, nullable=False),
    CheckConstraint("number > 0", name="number_is_positive"),
    CheckConstraint("action <> ''", name="action_not_empty"),
    Index(None, "person_id", "number"),
)

# The proof of the log: an event's hash and those of the subtrees that it completes, one behind the other, lowest first.
ledger = Table(
    "ledger",
    metadata,
    Column("number", ForeignKey("events.number"), primary_key=True, autoincrement=False),
    Column("hashes", LargeBinary, nullable=False),
    CheckConstraint("length(hashes) >= 32", name="holds_a_hash"),
)

checkpoints = Table(
    "checkpoints",
    metadata,
    Column("size", RowNumber, primary_key=True, autoincrement=False),
    Column("at", UtcTime, nullable=False),
    Column("note", Text, nullable=False),
    CheckConstraint("size > 0", name="size_is_positive"),
)
