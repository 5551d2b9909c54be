"""Addresses for reminders, and what was sent to whom."""

from __future__ import annotations

from sqlalchemy import Boolean, CheckConstraint, Column, ForeignKey, Index, String, Table, false

from trainer.store.schema.columns import UtcTime, metadata

# Personal data: an address stands here alone, never in the log, and is removed when its owner leaves.
mail_addresses = Table(
    "mail_addresses",
    metadata,
    Column("person_id", ForeignKey("people.id"), primary_key=True),
    Column("address", String(254), nullable=False),
    Column("paused", Boolean, nullable=False, server_default=false()),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("address <> ''", name="address_not_empty"),
)

# Each thing is told to a person once. It is claimed before its message is sent, so that two runs never send it twice.
mails_told = Table(
    "mails_told",
    metadata,
    Column("person_id", ForeignKey("people.id"), primary_key=True),
    Column("item", String(120), primary_key=True),
    Column("message", String(80), nullable=False),
    Column("state", String(10), nullable=False),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("state IN ('claimed', 'sent', 'unsure')", name="state_is_known"),
    Index(None, "message"),
)
