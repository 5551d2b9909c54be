"""Signing by people who show again at a provider who they are."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("sessions", sa.Column("provider", sa.String(length=255), nullable=True))
    row_number = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "signings_begun",
        sa.Column("ticket_hash", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("session_id", row_number, nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("fields", sa.Text(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("shown_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_signings_begun_person_id")),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_signings_begun_session_id")),
        sa.PrimaryKeyConstraint("ticket_hash", name=op.f("pk_signings_begun")),
    )
    op.create_index(op.f("ix_signings_begun_at"), "signings_begun", ["at"])


def downgrade() -> None:
    op.drop_table("signings_begun")
    op.drop_column("sessions", "provider")
