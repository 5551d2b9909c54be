"""Evaluations and the qualifications signed on them: what was found, by whom, and what a signature means."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    String,
    Table,
    Text,
)

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

evaluations = Table(
    "evaluations",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("module_id", String(80), nullable=False),
    Column("revision", String(64), nullable=False),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("evaluated_on", Date, nullable=False),
    Column("methods", Text, nullable=False),
    Column("abnormal_conditions", Text, nullable=False),
    Column("abnormal_passed", Boolean, nullable=False),
    Column("passed", Boolean, nullable=False),
    Column("note", Text, nullable=False),
    Column("evaluator_id", ForeignKey("people.id"), nullable=False),
    Column("evaluator_name", String(120), nullable=False),
    Column("basis", Text, nullable=False),
    Column("meaning", Text, nullable=False),
    Column("at", UtcTime, nullable=False),
    ForeignKeyConstraint(
        ["revision", "module_id"], ["module_revisions.revision", "module_revisions.module_id"]
    ),
    CheckConstraint("evaluator_id <> person_id", name="not_by_oneself"),
    CheckConstraint("note <> ''", name="result_is_written"),
    CheckConstraint("methods <> '[]'", name="method_is_named"),
    Index(None, "person_id", "at"),
    Index(None, "covered_task_id", "passed"),
)

# `record` is the whole record as signed, in canonical JSON; the other columns repeat what queries ask for.
qualifications = Table(
    "qualifications",
    metadata,
    Column("number", String(24), primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("evaluation_id", ForeignKey("evaluations.id"), nullable=False, unique=True),
    Column("evaluated_on", Date, nullable=False),
    Column("valid_from", Date, nullable=False),
    Column("valid_until", Date, nullable=False),
    Column("signed_by", ForeignKey("people.id"), nullable=False),
    Column("signer_name", String(120), nullable=False),
    Column("signed_at", UtcTime, nullable=False),
    Column("meaning", Text, nullable=False),
    Column("supersedes", ForeignKey("qualifications.number"), unique=True),
    Column("record", Text, nullable=False),
    Column("ended_on", Date),
    Column("ended_because", Text, nullable=False),
    CheckConstraint("signed_by <> person_id", name="not_by_oneself"),
    CheckConstraint("valid_until >= valid_from", name="ends_after_it_begins"),
    CheckConstraint("(ended_on IS NULL) = (ended_because = '')", name="end_has_reason"),
    Index(None, "person_id", "covered_task_id"),
    Index(None, "valid_until"),
    Index(None, "ended_on"),
)
