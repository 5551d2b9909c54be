"""Photographs: each kept once under the hash of its bytes, and with which step of which observation it goes."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    String,
    Table,
    UniqueConstraint,
)

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

photographs = Table(
    "photographs",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("data", LargeBinary, nullable=False),
    CheckConstraint("length(sha256) = 64", name="named_by_hash"),
    CheckConstraint("width > 0 AND height > 0", name="has_a_size"),
)

# `at` is when it was taken into the observation at the bench, `kept_at` when it arrived.
observation_photographs = Table(
    "observation_photographs",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("observation_id", ForeignKey("observations.id"), nullable=False),
    Column("ticket", String(80), nullable=False),
    Column("step", String(80), nullable=False),
    Column("sha256", ForeignKey("photographs.sha256"), nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("kept_at", UtcTime, nullable=False),
    UniqueConstraint("observation_id", "ticket"),
    UniqueConstraint("observation_id", "step", "sha256"),
    CheckConstraint("ticket <> ''", name="ticket_not_empty"),
    Index(None, "sha256"),
)
