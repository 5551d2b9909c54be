"""Assessment sittings: released, asked, answered, ended."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

KEPT_AS_WRITTEN = ("sittings", "sitting_questions", "sitting_answers", "sitting_ends")


def upgrade() -> None:
    _released()
    _asked()
    _answered()
    _ended()
    for table in KEPT_AS_WRITTEN:
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
    for table in reversed(KEPT_AS_WRITTEN):
        op.drop_table(table)


def _row_number() -> Any:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _released() -> None:
    op.create_table(
        "sittings",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("policy", sa.String(length=64), nullable=False),
        sa.Column("drawn_with", sa.String(length=64), nullable=False),
        sa.Column("shown", sa.Integer(), nullable=False),
        sa.Column("skills", sa.Integer(), nullable=False),
        sa.Column("because", sa.Text(), nullable=False),
        sa.Column("released_by", sa.String(length=16), nullable=False),
        sa.Column("released_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("released_by <> person_id", name=op.f("ck_sittings_not_by_oneself")),
        sa.CheckConstraint("length(policy) = 64", name=op.f("ck_sittings_policy_is_a_hash")),
        sa.CheckConstraint("drawn_with <> ''", name=op.f("ck_sittings_chance_is_taken")),
        sa.CheckConstraint("because <> ''", name=op.f("ck_sittings_reason_is_written")),
        sa.CheckConstraint("0 <= shown AND shown <= skills", name=op.f("ck_sittings_shown_of_skills")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_sittings_person_id")),
        sa.ForeignKeyConstraint(["released_by"], ["people.id"], name=op.f("fk_sittings_released_by")),
        sa.ForeignKeyConstraint(
            ["revision", "module_id"],
            ["module_revisions.revision", "module_revisions.module_id"],
            name=op.f("fk_sittings_revision_module_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sittings")),
    )
    op.create_index(op.f("ix_sittings_person_id_module_id"), "sittings", ["person_id", "module_id"])


def _asked() -> None:
    op.create_table(
        "sitting_questions",
        sa.Column("sitting_id", _row_number(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("element_class", sa.String(length=160), nullable=False),
        sa.Column("series", sa.Integer(), nullable=False),
        sa.Column("skill", sa.String(length=160), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("size", sa.String(length=40), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("likeness", sa.String(length=64), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("position > 0", name=op.f("ck_sitting_questions_position_from_one")),
        sa.CheckConstraint("series > 0", name=op.f("ck_sitting_questions_series_from_one")),
        sa.CheckConstraint("seed >= 0", name=op.f("ck_sitting_questions_seed_not_negative")),
        sa.ForeignKeyConstraint(
            ["sitting_id"], ["sittings.id"], name=op.f("fk_sitting_questions_sitting_id")
        ),
        sa.PrimaryKeyConstraint("sitting_id", "position", name=op.f("pk_sitting_questions")),
    )
    op.create_index(op.f("ix_sitting_questions_likeness"), "sitting_questions", ["likeness"])


def _answered() -> None:
    op.create_table(
        "sitting_answers",
        sa.Column("sitting_id", _row_number(), autoincrement=False, nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("ticket", sa.String(length=80), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("mark", sa.Text(), nullable=False),
        sa.Column("is_right", sa.Boolean(), nullable=False),
        sa.Column("critical", sa.Boolean(), nullable=False),
        sa.Column("credit_thousandths", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "credit_thousandths BETWEEN 0 AND 1000", name=op.f("ck_sitting_answers_credit_in_range")
        ),
        sa.CheckConstraint("ticket <> ''", name=op.f("ck_sitting_answers_ticket_not_empty")),
        sa.ForeignKeyConstraint(
            ["sitting_id", "position"],
            ["sitting_questions.sitting_id", "sitting_questions.position"],
            name=op.f("fk_sitting_answers_sitting_id_position"),
        ),
        sa.PrimaryKeyConstraint("sitting_id", "position", name=op.f("pk_sitting_answers")),
    )


def _ended() -> None:
    op.create_table(
        "sitting_ends",
        sa.Column("sitting_id", _row_number(), nullable=False),
        sa.Column("how", sa.String(length=20), nullable=False),
        sa.Column("results", sa.Text(), nullable=False),
        sa.Column("because", sa.Text(), nullable=False),
        sa.Column("ended_by", sa.String(length=16), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "how IN ('decided', 'full', 'time_up', 'broken_off')", name=op.f("ck_sitting_ends_end_is_known")
        ),
        sa.CheckConstraint(
            "(how = 'broken_off') = (because <> '')", name=op.f("ck_sitting_ends_break_has_reason")
        ),
        sa.CheckConstraint(
            "(how = 'broken_off') = (ended_by IS NOT NULL)", name=op.f("ck_sitting_ends_break_has_somebody")
        ),
        sa.ForeignKeyConstraint(["ended_by"], ["people.id"], name=op.f("fk_sitting_ends_ended_by")),
        sa.ForeignKeyConstraint(["sitting_id"], ["sittings.id"], name=op.f("fk_sitting_ends_sitting_id")),
        sa.PrimaryKeyConstraint("sitting_id", name=op.f("pk_sitting_ends")),
    )
