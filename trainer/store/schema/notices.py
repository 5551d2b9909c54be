"""Who has read what a revision changes in work they are qualified for."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, PrimaryKeyConstraint, Table

from trainer.store.schema.columns import UtcTime, metadata

# That somebody has to read it follows from their qualification and the revision in force; kept is only that they did.
revision_reads = Table(
    "revision_reads",
    metadata,
    Column("revision", ForeignKey("module_revisions.revision"), nullable=False),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    PrimaryKeyConstraint("revision", "person_id"),
)
