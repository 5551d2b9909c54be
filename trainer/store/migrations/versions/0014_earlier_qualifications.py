"""Qualifications brought on paper from before, and who held each against its paper."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

TRANSCRIBED = (
    "number",
    "person_id",
    "covered_task_id",
    "paper",
    "evaluated_on",
    "valid_from",
    "valid_until",
    "transcribed_by",
    "transcribed_at",
    "record",
)


def upgrade() -> None:
    op.create_table(
        "earlier_qualifications",
        sa.Column("number", sa.String(length=24), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("paper", sa.String(length=80), nullable=False),
        sa.Column("evaluated_on", sa.Date(), nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=False),
        sa.Column("valid_until", sa.Date(), nullable=False),
        sa.Column("transcribed_by", sa.String(length=16)),
        sa.Column("transcribed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("record", sa.Text(), nullable=False),
        sa.Column("ended_on", sa.Date()),
        sa.Column("ended_because", sa.Text(), nullable=False),
        sa.CheckConstraint("paper <> ''", name=op.f("ck_earlier_qualifications_paper_is_named")),
        sa.CheckConstraint(
            "valid_until >= valid_from", name=op.f("ck_earlier_qualifications_ends_after_it_begins")
        ),
        sa.CheckConstraint(
            "transcribed_by <> person_id", name=op.f("ck_earlier_qualifications_not_by_oneself")
        ),
        sa.CheckConstraint(
            "(ended_on IS NULL) = (ended_because = '')", name=op.f("ck_earlier_qualifications_end_has_reason")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["people.id"], name=op.f("fk_earlier_qualifications_person_id")
        ),
        sa.ForeignKeyConstraint(
            ["covered_task_id"],
            ["covered_tasks.id"],
            name=op.f("fk_earlier_qualifications_covered_task_id"),
        ),
        sa.ForeignKeyConstraint(
            ["transcribed_by"], ["people.id"], name=op.f("fk_earlier_qualifications_transcribed_by")
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_earlier_qualifications")),
    )
    op.create_index(
        op.f("ix_earlier_qualifications_person_id_covered_task_id"),
        "earlier_qualifications",
        ["person_id", "covered_task_id"],
    )
    op.create_index(op.f("ix_earlier_qualifications_valid_until"), "earlier_qualifications", ["valid_until"])
    op.create_table(
        "earlier_checks",
        sa.Column("number", sa.String(length=24), nullable=False),
        sa.Column("turned_down_because", sa.Text(), nullable=False),
        sa.Column("checked_by", sa.String(length=16), nullable=False),
        sa.Column("checker_name", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("meaning", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["number"], ["earlier_qualifications.number"], name=op.f("fk_earlier_checks_number")
        ),
        sa.ForeignKeyConstraint(["checked_by"], ["people.id"], name=op.f("fk_earlier_checks_checked_by")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_earlier_checks")),
    )
    if op.get_bind().dialect.name == "postgresql":
        _guards_of_postgresql()
    else:
        _guards_of_sqlite()


def downgrade() -> None:
    op.drop_table("earlier_checks")
    op.drop_table("earlier_qualifications")


def _guards_of_postgresql() -> None:
    refuse = "EXECUTE FUNCTION refuse_change()"
    for table, of in (
        ("earlier_checks", ""),
        ("earlier_qualifications", f" OF {', '.join(TRANSCRIBED)}"),
    ):
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE{of} ON {table} FOR EACH ROW {refuse}")
    op.execute(
        "CREATE TRIGGER earlier_qualifications_end_once BEFORE UPDATE OF ended_on, ended_because "
        f"ON earlier_qualifications FOR EACH ROW WHEN (OLD.ended_on IS NOT NULL) {refuse}"
    )


def _guards_of_sqlite() -> None:
    for table, of in (
        ("earlier_checks", ""),
        ("earlier_qualifications", f" OF {', '.join(TRANSCRIBED)}"),
    ):
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} are kept as written'); END"
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE{of} ON {table} {refuse}")
    op.execute(
        "CREATE TRIGGER earlier_qualifications_end_once BEFORE UPDATE OF ended_on, ended_because "
        "ON earlier_qualifications WHEN OLD.ended_on IS NOT NULL "
        "BEGIN SELECT RAISE(ABORT, 'earlier_qualifications are kept as written'); END"
    )
