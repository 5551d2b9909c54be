"""What happens to a qualification after its signature: suspended, lifted, evaluated again, withdrawn, stopped."""

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

# Each is written once and never changed. What ends a suspension names it in `about` and who suspended in `about_by`,
# so that the table itself can refuse one person lifting what they suspended. It is about a qualification of our own or
# about one from an earlier paper, never both.
life_events = Table(
    "life_events",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("act", String(16), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("on_day", Date, nullable=False),
    Column("reason", Text, nullable=False),
    Column("qualification", ForeignKey("qualifications.number")),
    Column("earlier", ForeignKey("earlier_qualifications.number")),
    Column("about", RowNumber),
    Column("about_by", String(16)),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("by_name", String(120), nullable=False),
    Column("at", UtcTime, nullable=False),
    UniqueConstraint("id", "by_id"),
    UniqueConstraint("about"),
    ForeignKeyConstraint(["about", "about_by"], ["life_events.id", "life_events.by_id"]),
    CheckConstraint(
        "act IN ('suspended', 'lifted', 're_evaluated', 'withdrawn', 'stopped')", name="act_is_known"
    ),
    CheckConstraint("(qualification IS NULL) <> (earlier IS NULL)", name="about_one_record"),
    CheckConstraint("reason <> ''", name="reason_is_written"),
    CheckConstraint("(act = 'suspended') = (kind <> '')", name="suspension_has_kind"),
    CheckConstraint("(act IN ('lifted', 're_evaluated')) = (about IS NOT NULL)", name="end_names_suspension"),
    CheckConstraint("(about IS NULL) = (about_by IS NULL)", name="end_names_who_suspended"),
    CheckConstraint("act <> 'lifted' OR by_id <> about_by", name="lifted_by_another"),
    CheckConstraint("act <> 'suspended' OR by_id <> person_id", name="not_by_oneself"),
    Index(None, "person_id", "covered_task_id"),
)
