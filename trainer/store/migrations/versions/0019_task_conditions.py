"""What the owner sets for each covered task, every change of it, and when the agency was told."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None

_NO_GROUNDS = '{"required_by":"","tests":{}}'
_FIRST_CONDITIONS = (
    '{"evaluators":{"appointment_enough":true,"because":"","months_held":0,"not_who_assigned":false,"other_crew":false},'
    '"methods":{"allowed":["written","oral","work_history","on_the_job","during_training","simulation","other"],'
    '"always":[],"one_of":[]},'
    '"span":{"because":"Nothing is set for it; then nobody works at it unqualified.","most":0}}'
)
_KEPT = ("task_changes", "task_changes_told")


def upgrade() -> None:
    op.add_column(
        "covered_tasks", sa.Column("grounds", sa.Text(), nullable=False, server_default=_NO_GROUNDS)
    )
    op.add_column(
        "covered_tasks",
        sa.Column("conditions", sa.Text(), nullable=False, server_default=_FIRST_CONDITIONS),
    )
    op.create_table(
        "task_changes",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("set_by", sa.String(length=16)),
        sa.Column("on_page", sa.Boolean(), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.Column("after", sa.Text(), nullable=False),
        sa.Column("because", sa.Text(), nullable=False),
        sa.Column("significant", sa.Boolean(), nullable=False),
        sa.CheckConstraint("because <> ''", name=op.f("ck_task_changes_reason_is_written")),
        sa.ForeignKeyConstraint(
            ["covered_task_id"], ["covered_tasks.id"], name=op.f("fk_task_changes_covered_task_id")
        ),
        sa.ForeignKeyConstraint(["set_by"], ["people.id"], name=op.f("fk_task_changes_set_by")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_task_changes")),
    )
    op.create_index(op.f("ix_task_changes_covered_task_id"), "task_changes", ["covered_task_id"])
    op.create_table(
        "task_changes_told",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("told_on", sa.Date(), nullable=False),
        sa.Column("entered_by", sa.String(length=16)),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["number"], ["task_changes.number"], name=op.f("fk_task_changes_told_number")
        ),
        sa.ForeignKeyConstraint(["entered_by"], ["people.id"], name=op.f("fk_task_changes_told_entered_by")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_task_changes_told")),
    )
    for table in _KEPT:
        _guard(table)


def _guard(table: str) -> None:
    if op.get_bind().dialect.name == "postgresql":
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE ON {table} FOR EACH ROW {refuse}")
    else:
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} are kept as written'); END"
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE ON {table} {refuse}")


def downgrade() -> None:
    op.drop_table("task_changes_told")
    op.drop_table("task_changes")
    op.drop_column("covered_tasks", "conditions")
    op.drop_column("covered_tasks", "grounds")
