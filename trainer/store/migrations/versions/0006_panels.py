"""Sheets of panels, and an index for adding up what everybody answered at one revision."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "panels",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("sheet", sa.Text(), nullable=False),
        sa.Column("cut_thousandths", sa.Integer(), nullable=False),
        sa.Column("spread_thousandths", sa.Integer(), nullable=False),
        sa.Column("kept_by", sa.String(length=16), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "cut_thousandths >= 0 AND spread_thousandths >= 0", name=op.f("ck_panels_cut_not_negative")
        ),
        sa.ForeignKeyConstraint(["kept_by"], ["people.id"], name=op.f("fk_panels_kept_by")),
        sa.ForeignKeyConstraint(
            ["revision", "module_id"],
            ["module_revisions.revision", "module_revisions.module_id"],
            name=op.f("fk_panels_revision_module_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_panels")),
    )
    op.create_index(op.f("ix_panels_module_id_at"), "panels", ["module_id", "at"])
    op.create_index(op.f("ix_attempts_revision_skill"), "attempts", ["revision", "skill"])
    if op.get_bind().dialect.name == "postgresql":
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(f"CREATE TRIGGER panels_stay BEFORE DELETE ON panels FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER panels_not_emptied BEFORE TRUNCATE ON panels {refuse}")
        op.execute(f"CREATE TRIGGER panels_keep BEFORE UPDATE ON panels FOR EACH ROW {refuse}")
    else:
        refuse = "BEGIN SELECT RAISE(ABORT, 'panels are kept as written'); END"
        op.execute(f"CREATE TRIGGER panels_stay BEFORE DELETE ON panels {refuse}")
        op.execute(f"CREATE TRIGGER panels_keep BEFORE UPDATE ON panels {refuse}")


def downgrade() -> None:
    op.drop_index(op.f("ix_attempts_revision_skill"), "attempts")
    op.drop_table("panels")
