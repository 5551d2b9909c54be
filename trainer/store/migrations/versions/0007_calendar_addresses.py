"""Secret addresses of calendars."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "calendar_addresses",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("length(token_hash) = 64", name=op.f("ck_calendar_addresses_token_is_hashed")),
        sa.CheckConstraint(
            "ended_at IS NULL OR ended_at >= made_at", name=op.f("ck_calendar_addresses_ended_after_made")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_calendar_addresses_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_calendar_addresses")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_calendar_addresses_token_hash")),
    )
    op.create_index(
        "uq_calendar_addresses_in_force",
        "calendar_addresses",
        ["person_id"],
        unique=True,
        sqlite_where=sa.text("ended_at IS NULL"),
        postgresql_where=sa.text("ended_at IS NULL"),
    )


def downgrade() -> None:
    op.drop_table("calendar_addresses")
