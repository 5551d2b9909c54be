"""Secret addresses of calendars: one in force a person."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, String, Table, text

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

# The token itself is only in the address; whoever reads this table cannot open a calendar with what stands here.
calendar_addresses = Table(
    "calendar_addresses",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("token_hash", String(64), nullable=False, unique=True),
    Column("made_at", UtcTime, nullable=False),
    Column("ended_at", UtcTime),
    CheckConstraint("length(token_hash) = 64", name="token_is_hashed"),
    CheckConstraint("ended_at IS NULL OR ended_at >= made_at", name="ended_after_made"),
    Index(
        "uq_calendar_addresses_in_force",
        "person_id",
        unique=True,
        sqlite_where=text("ended_at IS NULL"),
        postgresql_where=text("ended_at IS NULL"),
    ),
)
