"""Qualifications brought on paper from before: what was transcribed, and who held it against the paper."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, Date, ForeignKey, Index, String, Table, Text

from trainer.store.schema.columns import UtcTime, metadata

# `record` is the whole record as transcribed, in canonical JSON; the other columns repeat what queries ask for. Nothing of
# it changes but its end, once. The command line on the host transcribes without a number, so that one may be missing.
earlier_qualifications = Table(
    "earlier_qualifications",
    metadata,
    Column("number", String(24), primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("covered_task_id", ForeignKey("covered_tasks.id"), nullable=False),
    Column("paper", String(80), nullable=False),
    Column("evaluated_on", Date, nullable=False),
    Column("valid_from", Date, nullable=False),
    Column("valid_until", Date, nullable=False),
    Column("transcribed_by", ForeignKey("people.id")),
    Column("transcribed_at", UtcTime, nullable=False),
    Column("record", Text, nullable=False),
    Column("ended_on", Date),
    Column("ended_because", Text, nullable=False),
    CheckConstraint("paper <> ''", name="paper_is_named"),
    CheckConstraint("valid_until >= valid_from", name="ends_after_it_begins"),
    CheckConstraint("transcribed_by <> person_id", name="not_by_oneself"),
    CheckConstraint("(ended_on IS NULL) = (ended_because = '')", name="end_has_reason"),
    Index(None, "person_id", "covered_task_id"),
    Index(None, "valid_until"),
)

# One word on each transcribed record: it stands, or it does not and why. Never changed.
earlier_checks = Table(
    "earlier_checks",
    metadata,
    Column("number", ForeignKey("earlier_qualifications.number"), primary_key=True),
    Column("turned_down_because", Text, nullable=False),
    Column("checked_by", ForeignKey("people.id"), nullable=False),
    Column("checker_name", String(120), nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("meaning", Text, nullable=False),
)
