"""Changes that have to be shown anew by whoever is qualified under an earlier revision, and what became of each."""

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

# `classes` are the ids of the element classes to be shown, as canonical JSON; `due` is the last day on which the person
# works alone without having shown them. `by_id` is empty where the command line on the host published.
change_demands = Table(
    "change_demands",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("qualification", ForeignKey("qualifications.number"), nullable=False),
    Column("module_id", String(80), nullable=False),
    Column("revision", String(64), nullable=False),
    Column("signed_under", String(64), nullable=False),
    Column("classes", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("due", Date, nullable=False),
    Column("by_id", ForeignKey("people.id")),
    Column("by_name", String(120), nullable=False),
    Column("at", UtcTime, nullable=False),
    UniqueConstraint("id", "person_id"),
    ForeignKeyConstraint(
        ["revision", "module_id"], ["module_revisions.revision", "module_revisions.module_id"]
    ),
    CheckConstraint("reason <> ''", name="reason_is_written"),
    CheckConstraint("classes <> '[]'", name="something_is_to_be_shown"),
    CheckConstraint("revision <> signed_under", name="another_revision"),
    Index(None, "person_id", "covered_task_id"),
    Index(None, "module_id"),
)

# What ends a demand names it in `ends` too, so that the table itself lets it end once. `evidence` is what a supervisor
# confirmed, as canonical JSON; nobody confirms for themselves.
change_steps = Table(
    "change_steps",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("demand", RowNumber, nullable=False),
    Column("person_id", String(16), nullable=False),
    Column("act", String(16), nullable=False),
    Column("ends", RowNumber),
    Column("on_day", Date, nullable=False),
    Column("reason", Text, nullable=False),
    Column("evidence", Text, nullable=False),
    Column("by_id", ForeignKey("people.id")),
    Column("by_name", String(120), nullable=False),
    Column("at", UtcTime, nullable=False),
    UniqueConstraint("ends"),
    UniqueConstraint("demand", "act"),
    ForeignKeyConstraint(["demand", "person_id"], ["change_demands.id", "change_demands.person_id"]),
    CheckConstraint("act IN ('shown', 'not_shown', 'signed_anew', 'recalled')", name="act_is_known"),
    CheckConstraint("(act = 'not_shown') = (ends IS NULL)", name="all_but_one_end_it"),
    CheckConstraint("ends IS NULL OR ends = demand", name="ends_its_own"),
    CheckConstraint("reason <> ''", name="reason_is_written"),
    CheckConstraint("(act = 'shown') = (evidence <> '')", name="evidence_is_kept"),
    CheckConstraint(
        "act NOT IN ('shown', 'signed_anew') OR (by_id IS NOT NULL AND by_id <> person_id)",
        name="not_by_oneself",
    ),
)
