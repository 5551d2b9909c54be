"""Activity statements on their way to another system."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "outbox",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("statement_id", sa.String(length=36), nullable=False),
        sa.Column("entry", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("statement", sa.Text(), nullable=False),
        sa.Column("queued_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("next_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("refused", sa.Text(), nullable=False),
        sa.CheckConstraint("tries >= 0", name=op.f("ck_outbox_tries_not_negative")),
        sa.CheckConstraint("sent_at IS NULL OR refused = ''", name=op.f("ck_outbox_sent_or_refused")),
        sa.ForeignKeyConstraint(["entry"], ["events.number"], name=op.f("fk_outbox_entry")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outbox")),
        sa.UniqueConstraint("statement_id", name=op.f("uq_outbox_statement_id")),
    )
    op.create_index(op.f("ix_outbox_entry"), "outbox", ["entry"])
    waiting = sa.text("sent_at IS NULL AND refused = ''")
    op.create_index("ix_outbox_waiting", "outbox", ["id"], sqlite_where=waiting, postgresql_where=waiting)


def downgrade() -> None:
    op.drop_table("outbox")
