"""Covered tasks, published revisions, which revision is in force, and who has to practise what."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
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

# What tasks have that were registered before there were grounds and conditions, as canonical JSON.
NO_GROUNDS = '{"required_by":"","tests":{}}'
FIRST_CONDITIONS = (
    '{"evaluators":{"appointment_enough":true,"because":"","months_held":0,"not_who_assigned":false,"other_crew":false},'
    '"methods":{"allowed":["written","oral","work_history","on_the_job","during_training","simulation","other"],'
    '"always":[],"one_of":[]},'
    '"span":{"because":"Nothing is set for it; then nobody works at it unqualified.","most":0}}'
)

covered_tasks = Table(
    "covered_tasks",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("title", String(200), nullable=False),
    Column("group_title", String(120), nullable=False),
    Column("interval_months", Integer, nullable=False),
    Column("interval_because", Text, nullable=False),
    Column("abnormal_conditions", Text, nullable=False),
    Column("needed", Integer, nullable=False),
    Column("grounds", Text, nullable=False, server_default=NO_GROUNDS),
    Column("conditions", Text, nullable=False, server_default=FIRST_CONDITIONS),
    CheckConstraint("title <> ''", name="title_not_empty"),
    CheckConstraint("interval_months BETWEEN 1 AND 120", name="interval_in_range"),
    CheckConstraint("interval_because <> ''", name="interval_has_reason"),
    CheckConstraint("needed >= 0", name="needed_not_negative"),
)

# Each change of a task as it was made, whole, by the file (`set_by` empty) or by the keeper on the page; rows never change.
task_changes = Table(
    "task_changes",
    metadata,
    Column("number", RowNumber, primary_key=True),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("set_by", ForeignKey("people.id")),
    Column("on_page", Boolean, nullable=False),
    Column("before", Text, nullable=False),
    Column("after", Text, nullable=False),
    Column("because", Text, nullable=False),
    Column("significant", Boolean, nullable=False),
    CheckConstraint("because <> ''", name="reason_is_written"),
    Index(None, "covered_task_id"),
)

# On which day the agency was told of a significant change (49 CFR 192.805(i)); it is told once.
task_changes_told = Table(
    "task_changes_told",
    metadata,
    Column("number", ForeignKey("task_changes.number"), primary_key=True),
    Column("told_on", Date, nullable=False),
    Column("entered_by", ForeignKey("people.id")),
    Column("at", UtcTime, nullable=False),
)

# A revision is named by the hash of its canonical form and never changes; triggers see to it.
module_revisions = Table(
    "module_revisions",
    metadata,
    Column("revision", String(64), primary_key=True),
    Column("module_id", String(80), nullable=False),
    Column("title", String(200), nullable=False),
    Column("document", String(80), nullable=False),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("file", String(400), nullable=False),
    Column("source", Text, nullable=False),
    Column("canonical", Text, nullable=False),
    Column("published_at", UtcTime, nullable=False),
    Column("published_by", ForeignKey("people.id")),
    # What else points at a revision names its module as well, and the pair has to be true.
    UniqueConstraint("revision", "module_id"),
    CheckConstraint("length(revision) = 64", name="revision_is_a_hash"),
    Index(None, "module_id", "published_at"),
    Index(None, "covered_task_id"),
)

current_revisions = Table(
    "current_revisions",
    metadata,
    Column("module_id", String(80), primary_key=True),
    Column("revision", String(64), nullable=False, unique=True),
    Column("since", UtcTime, nullable=False),
    ForeignKeyConstraint(
        ["revision", "module_id"], ["module_revisions.revision", "module_revisions.module_id"]
    ),
)

assignments = Table(
    "assignments",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("module_id", ForeignKey("current_revisions.module_id"), nullable=False),
    Column("due", Date),
    Column("assigned_at", UtcTime, nullable=False),
    Column("assigned_by", ForeignKey("people.id")),
    Column("withdrawn_at", UtcTime),
    Column("withdrawn_by", ForeignKey("people.id")),
    CheckConstraint("withdrawn_at IS NULL OR withdrawn_at >= assigned_at", name="withdrawn_after_assigned"),
    Index(
        "uq_assignments_one_open",
        "person_id",
        "module_id",
        unique=True,
        sqlite_where=text("withdrawn_at IS NULL"),
        postgresql_where=text("withdrawn_at IS NULL"),
    ),
)
