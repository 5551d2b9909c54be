"""Marked attempts, each kept as it was asked, answered and marked; and the running summary of them."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    String,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

# `counts` marks the first answer of a person to a question; the same one again is practice without evidence.
attempts = Table(
    "attempts",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("ticket", String(80), nullable=False),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("module_id", String(80), nullable=False),
    Column("revision", String(64), nullable=False),
    Column("kind", String(40), nullable=False),
    Column("skill", String(160), nullable=False),
    Column("size", String(40), nullable=False),
    Column("seed", BigInteger, nullable=False),
    Column("answer", Text, nullable=False),
    Column("mark", Text, nullable=False),
    Column("is_right", Boolean, nullable=False),
    Column("critical", Boolean, nullable=False),
    Column("credit_thousandths", Integer, nullable=False),
    Column("counts", Boolean, nullable=False),
    Column("started_at", UtcTime),
    Column("at", UtcTime, nullable=False),
    ForeignKeyConstraint(
        ["revision", "module_id"], ["module_revisions.revision", "module_revisions.module_id"]
    ),
    UniqueConstraint("person_id", "ticket"),
    CheckConstraint("credit_thousandths BETWEEN 0 AND 1000", name="credit_in_range"),
    CheckConstraint("seed >= 0", name="seed_not_negative"),
    CheckConstraint("ticket <> ''", name="ticket_not_empty"),
    Index(
        "uq_attempts_first_answer",
        "person_id",
        "revision",
        "kind",
        "size",
        "seed",
        unique=True,
        sqlite_where=text("counts"),
        postgresql_where=text("counts"),
    ),
    Index(None, "person_id", "at"),
    Index(None, "revision", "skill"),
)

# Follows from the attempts that count and can be made anew from them at any time (`summaries.rebuild`).
skill_summaries = Table(
    "skill_summaries",
    metadata,
    Column("person_id", ForeignKey("people.id"), primary_key=True),
    Column("revision", String(64), primary_key=True),
    Column("skill", String(160), primary_key=True),
    Column("module_id", String(80), nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("clean", Integer, nullable=False),
    Column("in_a_row", Integer, nullable=False),
    Column("last_at", UtcTime, nullable=False),
    ForeignKeyConstraint(
        ["revision", "module_id"], ["module_revisions.revision", "module_revisions.module_id"]
    ),
    CheckConstraint("0 <= in_a_row AND in_a_row <= clean AND clean <= attempts", name="counts_fit_together"),
)
