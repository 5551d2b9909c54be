"""Changes that have to be shown anew, what became of each, and sittings that are about some classes only."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

_TABLES = ("change_demands", "change_steps")
# What two people decided to destroy may go: the demands of a person at a task, and what became of them.
_DECIDED = (
    "EXISTS (SELECT 1 FROM keeping_events k WHERE k.act = 'confirmed' AND k.person_id = {row}.person_id "
    "AND k.covered_task_id = {row}.covered_task_id AND {row}.at <= k.at)"
)
_DESTROYED = {
    "change_demands": _DECIDED.format(row="OLD"),
    "change_steps": (
        f"EXISTS (SELECT 1 FROM change_demands w WHERE w.id = OLD.demand AND {_DECIDED.format(row='w')})"  # noqa: S608  # names of the schema
    ),
}


def upgrade() -> None:
    op.add_column("sittings", sa.Column("classes", sa.Text(), nullable=False, server_default="[]"))
    _demands()
    _steps()
    for table in _TABLES:
        _keep(table)


def downgrade() -> None:
    op.drop_table("change_steps")
    op.drop_table("change_demands")
    op.drop_column("sittings", "classes")
    if op.get_bind().dialect.name == "postgresql":
        for table in _TABLES:
            op.execute(f"DROP FUNCTION {table}_stay()")


def _demands() -> None:
    op.create_table(
        "change_demands",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("qualification", sa.String(length=24), nullable=False),
        sa.Column("module_id", sa.String(length=80), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("signed_under", sa.String(length=64), nullable=False),
        sa.Column("classes", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("by_id", sa.String(length=16), nullable=True),
        sa.Column("by_name", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        *_checks(
            "change_demands",
            {
                "reason_is_written": "reason <> ''",
                "something_is_to_be_shown": "classes <> '[]'",
                "another_revision": "revision <> signed_under",
            },
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_change_demands_person_id")),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name=op.f("fk_change_demands_by_id")),
        sa.ForeignKeyConstraint(
            ["covered_task_id"], ["covered_tasks.id"], name=op.f("fk_change_demands_covered_task_id")
        ),
        sa.ForeignKeyConstraint(
            ["qualification"], ["qualifications.number"], name=op.f("fk_change_demands_qualification")
        ),
        sa.ForeignKeyConstraint(
            ["revision", "module_id"],
            ["module_revisions.revision", "module_revisions.module_id"],
            name=op.f("fk_change_demands_revision_module_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_change_demands")),
        sa.UniqueConstraint("id", "person_id", name=op.f("uq_change_demands_id_person_id")),
    )
    op.create_index(
        op.f("ix_change_demands_person_id_covered_task_id"),
        "change_demands",
        ["person_id", "covered_task_id"],
    )
    op.create_index(op.f("ix_change_demands_module_id"), "change_demands", ["module_id"])


def _steps() -> None:
    op.create_table(
        "change_steps",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("demand", _row_number(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("act", sa.String(length=16), nullable=False),
        sa.Column("ends", _row_number(), nullable=True),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("evidence", sa.Text(), nullable=False),
        sa.Column("by_id", sa.String(length=16), nullable=True),
        sa.Column("by_name", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        *_checks(
            "change_steps",
            {
                "act_is_known": "act IN ('shown', 'not_shown', 'signed_anew', 'recalled')",
                "all_but_one_end_it": "(act = 'not_shown') = (ends IS NULL)",
                "ends_its_own": "ends IS NULL OR ends = demand",
                "reason_is_written": "reason <> ''",
                "evidence_is_kept": "(act = 'shown') = (evidence <> '')",
                "not_by_oneself": (
                    "act NOT IN ('shown', 'signed_anew') OR (by_id IS NOT NULL AND by_id <> person_id)"
                ),
            },
        ),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name=op.f("fk_change_steps_by_id")),
        sa.ForeignKeyConstraint(
            ["demand", "person_id"],
            ["change_demands.id", "change_demands.person_id"],
            name=op.f("fk_change_steps_demand_person_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_change_steps")),
        sa.UniqueConstraint("ends", name=op.f("uq_change_steps_ends")),
        sa.UniqueConstraint("demand", "act", name=op.f("uq_change_steps_demand_act")),
    )


def _keep(table: str) -> None:
    allowed = _DESTROYED[table]
    if op.get_bind().dialect.name == "postgresql":
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(
            f"CREATE FUNCTION {table}_stay() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"IF {allowed} THEN RETURN OLD; END IF; "
            f"RAISE EXCEPTION '{table} are kept as written' USING ERRCODE = 'integrity_constraint_violation'; END $$"
        )
        op.execute(
            f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} FOR EACH ROW EXECUTE FUNCTION {table}_stay()"
        )
        op.execute(f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE ON {table} FOR EACH ROW {refuse}")
    else:
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} are kept as written'); END"
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} WHEN NOT ({allowed}) {refuse}")
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE ON {table} {refuse}")


def _row_number() -> Any:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _checks(table: str, texts: dict[str, str]) -> tuple[sa.CheckConstraint, ...]:
    return tuple(sa.CheckConstraint(text, name=op.f(f"ck_{table}_{name}")) for name, text in texts.items())
