"""Addresses for reminders, and what was sent to whom."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "mail_addresses",
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("address", sa.String(length=254), nullable=False),
        sa.Column("paused", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("address <> ''", name=op.f("ck_mail_addresses_address_not_empty")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_mail_addresses_person_id")),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_mail_addresses")),
    )
    op.create_table(
        "mails_told",
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("item", sa.String(length=120), nullable=False),
        sa.Column("message", sa.String(length=80), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "state IN ('claimed', 'sent', 'unsure')", name=op.f("ck_mails_told_state_is_known")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_mails_told_person_id")),
        sa.PrimaryKeyConstraint("person_id", "item", name=op.f("pk_mails_told")),
    )
    op.create_index(op.f("ix_mails_told_message"), "mails_told", ["message"])


def downgrade() -> None:
    op.drop_table("mails_told")
    op.drop_table("mail_addresses")
