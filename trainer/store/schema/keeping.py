"""The end of keeping: what was proposed, confirmed, held and lifted, and which entries of the log lost their content."""

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

# A word about what is kept of one person at one covered task; each is written once and never changed. A confirmation
# names the proposal in `about` and its author in `about_by`, so that the table itself refuses one person doing both;
# `earliest` is the first day on which the content may be destroyed. A confirmation is what the guards of all other
# tables look for: rows of that person at that task from before it, and no others, may be deleted.
keeping_events = Table(
    "keeping_events",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("act", String(12), nullable=False),
    Column("on_day", Date, nullable=False),
    Column("earliest", Date),
    Column("reason", Text, nullable=False),
    Column("about", RowNumber),
    Column("about_by", String(16)),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("by_name", String(120), nullable=False),
    Column("at", UtcTime, nullable=False),
    UniqueConstraint("id", "by_id"),
    UniqueConstraint("id", "act"),
    UniqueConstraint("about"),
    ForeignKeyConstraint(["about", "about_by"], ["keeping_events.id", "keeping_events.by_id"]),
    CheckConstraint("act IN ('proposed', 'confirmed', 'held', 'lifted')", name="act_is_known"),
    CheckConstraint("reason <> ''", name="reason_is_written"),
    CheckConstraint("act = 'held' OR by_id <> person_id", name="not_by_oneself"),
    CheckConstraint("(act IN ('proposed', 'confirmed')) = (earliest IS NOT NULL)", name="day_is_told"),
    CheckConstraint("earliest IS NULL OR earliest <= on_day", name="day_is_reached"),
    CheckConstraint("act NOT IN ('confirmed', 'lifted') OR about IS NOT NULL", name="end_names_what_it_ends"),
    CheckConstraint("act <> 'proposed' OR about IS NULL", name="proposal_stands_alone"),
    CheckConstraint("(about IS NULL) = (about_by IS NULL)", name="end_names_whose_word"),
    CheckConstraint("act <> 'confirmed' OR by_id <> about_by", name="confirmed_by_another"),
    Index(None, "person_id", "covered_task_id"),
)

# An entry whose payload is gone, and the confirmation that it went with.
destroyed_entries = Table(
    "destroyed_entries",
    metadata,
    Column("number", ForeignKey("events.number"), primary_key=True, autoincrement=False),
    Column("confirmation", RowNumber, nullable=False),
    Column("act", String(12), nullable=False),
    ForeignKeyConstraint(["confirmation", "act"], ["keeping_events.id", "keeping_events.act"]),
    CheckConstraint("act = 'confirmed'", name="is_confirmed"),
    Index(None, "confirmation"),
)
