"""What happens to a qualification from an earlier paper stands beside what happens to those of our own."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

TABLE = "life_events"
ONE = "(qualification IS NULL) <> (earlier IS NULL)"
COLUMNS = "id, person_id, covered_task_id, act, kind, on_day, reason, qualification, about, about_by, by_id, by_name, at"


def upgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.alter_column(TABLE, "qualification", nullable=True)
        op.add_column(TABLE, sa.Column("earlier", sa.String(length=24), nullable=True))
        op.create_foreign_key(
            op.f("fk_life_events_earlier"), TABLE, "earlier_qualifications", ["earlier"], ["number"]
        )
        op.create_check_constraint(op.f("ck_life_events_about_one_record"), TABLE, ONE)
        return
    _made_anew(with_papers=True)


def downgrade() -> None:
    # With a row about a paper this fails: better than to lose what happened.
    if op.get_bind().dialect.name == "postgresql":
        op.drop_constraint(op.f("ck_life_events_about_one_record"), TABLE)
        op.drop_constraint(op.f("fk_life_events_earlier"), TABLE)
        op.alter_column(TABLE, "qualification", nullable=False)
        op.drop_column(TABLE, "earlier")
        return
    _made_anew(with_papers=False)


def _made_anew(*, with_papers: bool) -> None:
    """SQLite cannot let a column be empty that could not: the table is made again, its rows and guards with it."""
    op.drop_index(op.f("ix_life_events_person_id_covered_task_id"), TABLE)
    op.rename_table(TABLE, "life_events_before")
    op.create_table(
        TABLE,
        *_columns(with_papers=with_papers),
        *_checks(with_papers=with_papers),
        *_keys(with_papers=with_papers),
    )
    op.execute(f"INSERT INTO {TABLE} ({COLUMNS}) SELECT {COLUMNS} FROM life_events_before ORDER BY id")  # noqa: S608 -- names of ours
    op.drop_table("life_events_before")
    op.create_index(op.f("ix_life_events_person_id_covered_task_id"), TABLE, ["person_id", "covered_task_id"])
    refuse = f"BEGIN SELECT RAISE(ABORT, '{TABLE} are kept as written'); END"
    op.execute(f"CREATE TRIGGER life_events_stay BEFORE DELETE ON {TABLE} {refuse}")
    op.execute(f"CREATE TRIGGER life_events_keep BEFORE UPDATE ON {TABLE} {refuse}")


def _columns(*, with_papers: bool) -> list[sa.Column[Any]]:
    papers = [sa.Column("earlier", sa.String(length=24), nullable=True)] if with_papers else []
    return [
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("act", sa.String(length=16), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("qualification", sa.String(length=24), nullable=with_papers),
        *papers,
        sa.Column("about", sa.Integer(), nullable=True),
        sa.Column("about_by", sa.String(length=16), nullable=True),
        sa.Column("by_id", sa.String(length=16), nullable=False),
        sa.Column("by_name", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
    ]


def _checks(*, with_papers: bool) -> list[sa.CheckConstraint]:
    texts = {
        "act_is_known": "act IN ('suspended', 'lifted', 're_evaluated', 'withdrawn', 'stopped')",
        "reason_is_written": "reason <> ''",
        "suspension_has_kind": "(act = 'suspended') = (kind <> '')",
        "end_names_suspension": "(act IN ('lifted', 're_evaluated')) = (about IS NOT NULL)",
        "end_names_who_suspended": "(about IS NULL) = (about_by IS NULL)",
        "lifted_by_another": "act <> 'lifted' OR by_id <> about_by",
        "not_by_oneself": "act <> 'suspended' OR by_id <> person_id",
    }
    if with_papers:
        texts["about_one_record"] = ONE
    return [sa.CheckConstraint(text, name=op.f(f"ck_life_events_{name}")) for name, text in texts.items()]


def _keys(*, with_papers: bool) -> list[sa.Constraint]:
    foreign = {
        "person_id": "people.id",
        "by_id": "people.id",
        "covered_task_id": "covered_tasks.id",
        "qualification": "qualifications.number",
    }
    if with_papers:
        foreign["earlier"] = "earlier_qualifications.number"
    return [
        *(
            sa.ForeignKeyConstraint([column], [to], name=op.f(f"fk_life_events_{column}"))
            for column, to in foreign.items()
        ),
        sa.ForeignKeyConstraint(
            ["about", "about_by"],
            ["life_events.id", "life_events.by_id"],
            name=op.f("fk_life_events_about_about_by"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_life_events")),
        sa.UniqueConstraint("about", name=op.f("uq_life_events_about")),
        sa.UniqueConstraint("id", "by_id", name=op.f("uq_life_events_id_by_id")),
    ]
