"""Observations at the bench, every mark of them, and which evaluation rests on which."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

# Nothing of a mark that was entered changes, nor of what an evaluation rests on.
KEPT_AS_WRITTEN = ("observation_entries", "evaluation_observations")
# Whose work, whose eyes and which job: never changed. How it ended: written once.
BEGUN = (
    "id",
    "ticket",
    "person_id",
    "module_id",
    "revision",
    "covered_task_id",
    "size",
    "evaluator_id",
    "beside",
    "begun_at",
    "filled_on",
    "transcribed_by",
)
ENDED = ("given_up_at", "given_up_because", "closed_at", "record")


def upgrade() -> None:
    _observations()
    _entries()
    if op.get_bind().dialect.name == "postgresql":
        _guards_of_postgresql()
    else:
        _guards_of_sqlite()


def downgrade() -> None:
    op.drop_table("evaluation_observations")
    op.drop_table("observation_entries")
    op.drop_table("observations")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION refuse_late_entry()")


def _row_number() -> Any:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _guards_of_sqlite() -> None:
    for table in (*KEPT_AS_WRITTEN, "observations"):
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} are kept as written'); END"
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} {refuse}")
        columns = f" OF {', '.join(BEGUN)}" if table == "observations" else ""
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE{columns} ON {table} {refuse}")
    refuse = "BEGIN SELECT RAISE(ABORT, 'observations are kept as written'); END"
    over = "OLD.closed_at IS NOT NULL OR OLD.given_up_at IS NOT NULL"
    op.execute(
        f"CREATE TRIGGER observations_end_once BEFORE UPDATE OF {', '.join(ENDED)} ON observations WHEN {over} {refuse}"
    )
    over = "SELECT 1 FROM observations WHERE id = NEW.observation_id AND (closed_at IS NOT NULL OR given_up_at IS NOT NULL)"
    late = "BEGIN SELECT RAISE(ABORT, 'observations are kept as written'); END"
    op.execute(
        f"CREATE TRIGGER observation_entries_in_time BEFORE INSERT ON observation_entries WHEN EXISTS ({over}) {late}"
    )


def _guards_of_postgresql() -> None:
    refuse = "EXECUTE FUNCTION refuse_change()"
    for table in (*KEPT_AS_WRITTEN, "observations"):
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} {refuse}")
        columns = f" OF {', '.join(BEGUN)}" if table == "observations" else ""
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE{columns} ON {table} FOR EACH ROW {refuse}")
    op.execute(
        f"CREATE TRIGGER observations_end_once BEFORE UPDATE OF {', '.join(ENDED)} ON observations FOR EACH ROW "
        f"WHEN (OLD.closed_at IS NOT NULL OR OLD.given_up_at IS NOT NULL) {refuse}"
    )
    op.execute(
        """
        CREATE FUNCTION refuse_late_entry() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF EXISTS (
                SELECT 1 FROM observations WHERE id = NEW.observation_id
                AND (closed_at IS NOT NULL OR given_up_at IS NOT NULL)
            ) THEN
                RAISE EXCEPTION 'observations are kept as written'
                    USING ERRCODE = 'integrity_constraint_violation';
            END IF;
            RETURN NEW;
        END $$
        """
    )
    op.execute(
        "CREATE TRIGGER observation_entries_in_time BEFORE INSERT ON observation_entries "
        "FOR EACH ROW EXECUTE FUNCTION refuse_late_entry()"
    )


def _observations() -> None:
    op.create_table(
        "observations",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("ticket", sa.String(length=80), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("size", sa.String(length=40), nullable=False),
        sa.Column("evaluator_id", sa.String(length=16), nullable=False),
        sa.Column("beside", _row_number(), nullable=True),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("filled_on", sa.Date(), nullable=True),
        sa.Column("transcribed_by", sa.String(length=16), nullable=True),
        sa.Column("given_up_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("given_up_because", sa.Text(), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("record", sa.Text(), nullable=False),
        sa.CheckConstraint("evaluator_id <> person_id", name=op.f("ck_observations_not_of_oneself")),
        sa.CheckConstraint("ticket <> ''", name=op.f("ck_observations_ticket_not_empty")),
        sa.CheckConstraint("beside <> id", name=op.f("ck_observations_not_beside_itself")),
        sa.CheckConstraint(
            "(filled_on IS NULL) = (transcribed_by IS NULL)", name=op.f("ck_observations_paper_is_told_whole")
        ),
        sa.CheckConstraint(
            "(closed_at IS NULL) = (record = '')", name=op.f("ck_observations_closed_has_record")
        ),
        sa.CheckConstraint(
            "(given_up_at IS NULL) = (given_up_because = '')",
            name=op.f("ck_observations_given_up_has_reason"),
        ),
        sa.CheckConstraint("closed_at IS NULL OR given_up_at IS NULL", name=op.f("ck_observations_one_end")),
        sa.ForeignKeyConstraint(["beside"], ["observations.id"], name=op.f("fk_observations_beside")),
        sa.ForeignKeyConstraint(
            ["covered_task_id"], ["covered_tasks.id"], name=op.f("fk_observations_covered_task_id")
        ),
        sa.ForeignKeyConstraint(["evaluator_id"], ["people.id"], name=op.f("fk_observations_evaluator_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_observations_person_id")),
        sa.ForeignKeyConstraint(
            ["transcribed_by"], ["people.id"], name=op.f("fk_observations_transcribed_by")
        ),
        sa.ForeignKeyConstraint(
            ["revision", "module_id"],
            ["module_revisions.revision", "module_revisions.module_id"],
            name=op.f("fk_observations_revision_module_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_observations")),
        sa.UniqueConstraint("evaluator_id", "ticket", name=op.f("uq_observations_evaluator_id_ticket")),
    )
    op.create_index(op.f("ix_observations_beside"), "observations", ["beside"])
    op.create_index(
        op.f("ix_observations_evaluator_id_closed_at"), "observations", ["evaluator_id", "closed_at"]
    )
    op.create_index(op.f("ix_observations_person_id_closed_at"), "observations", ["person_id", "closed_at"])


def _entries() -> None:
    op.create_table(
        "observation_entries",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("observation_id", _row_number(), nullable=False),
        sa.Column("ticket", sa.String(length=80), nullable=False),
        sa.Column("step", sa.String(length=80), nullable=False),
        sa.Column("mark", sa.String(length=10), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("ticket <> ''", name=op.f("ck_observation_entries_ticket_not_empty")),
        sa.CheckConstraint(
            "mark IN ('', 'unaided', 'word', 'mentor', 'wrong')",
            name=op.f("ck_observation_entries_mark_is_known"),
        ),
        sa.ForeignKeyConstraint(
            ["observation_id"], ["observations.id"], name=op.f("fk_observation_entries_observation_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_observation_entries")),
        sa.UniqueConstraint(
            "observation_id", "ticket", name=op.f("uq_observation_entries_observation_id_ticket")
        ),
    )
    op.create_table(
        "evaluation_observations",
        sa.Column("evaluation_id", _row_number(), nullable=False),
        sa.Column("observation_id", _row_number(), nullable=False),
        sa.ForeignKeyConstraint(
            ["evaluation_id"], ["evaluations.id"], name=op.f("fk_evaluation_observations_evaluation_id")
        ),
        sa.ForeignKeyConstraint(
            ["observation_id"], ["observations.id"], name=op.f("fk_evaluation_observations_observation_id")
        ),
        sa.PrimaryKeyConstraint("evaluation_id", name=op.f("pk_evaluation_observations")),
    )
    op.create_index(
        op.f("ix_evaluation_observations_observation_id"), "evaluation_observations", ["observation_id"]
    )
