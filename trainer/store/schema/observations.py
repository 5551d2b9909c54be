"""Observations at the bench: whose work, who watched, every mark as it was entered, and what was signed."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

# Whose work and who watched never change; what is signed at the end is added once, and nothing after it.
# `beside` names another evaluator's observation of the same job; `filled_on` and `transcribed_by` are of a paper card.
observations = Table(
    "observations",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("ticket", String(80), nullable=False),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("module_id", String(80), nullable=False),
    Column("revision", String(64), nullable=False),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("size", String(40), nullable=False),
    Column("evaluator_id", ForeignKey("people.id"), nullable=False),
    Column("beside", ForeignKey("observations.id")),
    Column("begun_at", UtcTime, nullable=False),
    Column("filled_on", Date),
    Column("transcribed_by", ForeignKey("people.id")),
    Column("given_up_at", UtcTime),
    Column("given_up_because", Text, nullable=False),
    Column("closed_at", UtcTime),
    Column("record", Text, nullable=False),
    ForeignKeyConstraint(
        ["revision", "module_id"], ["module_revisions.revision", "module_revisions.module_id"]
    ),
    UniqueConstraint("evaluator_id", "ticket"),
    CheckConstraint("evaluator_id <> person_id", name="not_of_oneself"),
    CheckConstraint("ticket <> ''", name="ticket_not_empty"),
    CheckConstraint("beside <> id", name="not_beside_itself"),
    CheckConstraint("(filled_on IS NULL) = (transcribed_by IS NULL)", name="paper_is_told_whole"),
    CheckConstraint("(closed_at IS NULL) = (record = '')", name="closed_has_record"),
    CheckConstraint("(given_up_at IS NULL) = (given_up_because = '')", name="given_up_has_reason"),
    CheckConstraint("closed_at IS NULL OR given_up_at IS NULL", name="one_end"),
    Index(None, "person_id", "closed_at"),
    Index(None, "evaluator_id", "closed_at"),
    Index(None, "beside"),
)

# Each mark, change of a mark and note as it came in; `at` is the time at the bench, `kept_at` when it arrived.
observation_entries = Table(
    "observation_entries",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("observation_id", ForeignKey("observations.id"), nullable=False),
    Column("ticket", String(80), nullable=False),
    Column("step", String(80), nullable=False),
    Column("mark", String(10), nullable=False),
    Column("note", Text, nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("kept_at", UtcTime, nullable=False),
    UniqueConstraint("observation_id", "ticket"),
    CheckConstraint("ticket <> ''", name="ticket_not_empty"),
    CheckConstraint("mark IN ('', 'unaided', 'word', 'mentor', 'wrong')", name="mark_is_known"),
)

# The observation that an evaluation rests on.
evaluation_observations = Table(
    "evaluation_observations",
    metadata,
    Column("evaluation_id", ForeignKey("evaluations.id"), primary_key=True),
    Column("observation_id", ForeignKey("observations.id"), nullable=False),
    Index(None, "observation_id"),
)
