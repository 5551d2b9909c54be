"""Plans of cover, a row a version."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, Integer, String, Table, Text

from trainer.store.schema.columns import UtcTime, metadata

# A version is kept whole, as canonical JSON, and never changes.
plans = Table(
    "plans",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("crew", String(80), nullable=False),
    Column("sheet", Text, nullable=False),
    Column("kept_by", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("number > 0 AND version > 0", name="counted_from_one"),
    Index(None, "crew", "number"),
)
