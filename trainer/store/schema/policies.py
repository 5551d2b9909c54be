"""The numbers of the programme: each policy that was ever in force, as it was set, by whom and why."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, String, Table, Text

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

# The newest row is in force. A row never changes: what was decided under it can be worked out again from it.
# `set_by` is empty for the numbers that the program brings along.
policies = Table(
    "policies",
    metadata,
    Column("number", RowNumber, primary_key=True),
    Column("sha256", String(64), nullable=False),
    Column("written", Text, nullable=False),
    Column("because", Text, nullable=False),
    Column("set_by", ForeignKey("people.id")),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("length(sha256) = 64", name="sha256_is_a_hash"),
    CheckConstraint("because <> ''", name="reason_is_written"),
    Index(None, "sha256"),
)
