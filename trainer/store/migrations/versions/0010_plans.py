"""Plans of cover."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "plans",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("version", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("crew", sa.String(length=80), nullable=False),
        sa.Column("sheet", sa.Text(), nullable=False),
        sa.Column("kept_by", sa.String(length=16), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("number > 0 AND version > 0", name=op.f("ck_plans_counted_from_one")),
        sa.ForeignKeyConstraint(["kept_by"], ["people.id"], name=op.f("fk_plans_kept_by")),
        sa.PrimaryKeyConstraint("number", "version", name=op.f("pk_plans")),
    )
    op.create_index(op.f("ix_plans_crew_number"), "plans", ["crew", "number"])
    if op.get_bind().dialect.name == "postgresql":
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(f"CREATE TRIGGER plans_stay BEFORE DELETE ON plans FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER plans_not_emptied BEFORE TRUNCATE ON plans {refuse}")
        op.execute(f"CREATE TRIGGER plans_keep BEFORE UPDATE ON plans FOR EACH ROW {refuse}")
    else:
        refuse = "BEGIN SELECT RAISE(ABORT, 'plans are kept as written'); END"
        op.execute(f"CREATE TRIGGER plans_stay BEFORE DELETE ON plans {refuse}")
        op.execute(f"CREATE TRIGGER plans_keep BEFORE UPDATE ON plans {refuse}")


def downgrade() -> None:
    op.drop_table("plans")
