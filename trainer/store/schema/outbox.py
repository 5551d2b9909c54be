"""Activity statements on their way to another system."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, Integer, String, Table, Text, text

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

# `entry` is the entry of the log by which the statement got here: the log is read on from the greatest of them.
# `statement` is the text as it goes out, the same at each try; once it has arrived it is not kept twice.
outbox = Table(
    "outbox",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("statement_id", String(36), nullable=False, unique=True),
    Column("entry", ForeignKey("events.number"), nullable=False),
    Column("statement", Text, nullable=False),
    Column("queued_at", UtcTime, nullable=False),
    Column("tries", Integer, nullable=False),
    Column("next_at", UtcTime, nullable=False),
    Column("sent_at", UtcTime),
    Column("refused", Text, nullable=False),
    CheckConstraint("tries >= 0", name="tries_not_negative"),
    CheckConstraint("sent_at IS NULL OR refused = ''", name="sent_or_refused"),
    Index(None, "entry"),
    Index(
        "ix_outbox_waiting",
        "id",
        sqlite_where=text("sent_at IS NULL AND refused = ''"),
        postgresql_where=text("sent_at IS NULL AND refused = ''"),
    ),
)
