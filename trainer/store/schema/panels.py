"""Panels on where to draw the line: what each judge estimated, and the cut it comes to."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    String,
    Table,
    Text,
)

from trainer.store.schema.columns import RowNumber, UtcTime, metadata

# A sheet is kept whole, as canonical JSON, and never changes; a better one stands beside it. The cut and its spread follow
# from the sheet and stand beside it in thousandths of an item.
panels = Table(
    "panels",
    metadata,
    Column("id", RowNumber, primary_key=True),
    Column("module_id", String(80), nullable=False),
    Column("revision", String(64), nullable=False),
    Column("sheet", Text, nullable=False),
    Column("cut_thousandths", Integer, nullable=False),
    Column("spread_thousandths", Integer, nullable=False),
    Column("kept_by", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    ForeignKeyConstraint(
        ["revision", "module_id"], ["module_revisions.revision", "module_revisions.module_id"]
    ),
    CheckConstraint("cut_thousandths >= 0 AND spread_thousandths >= 0", name="cut_not_negative"),
    Index(None, "module_id", "at"),
)
