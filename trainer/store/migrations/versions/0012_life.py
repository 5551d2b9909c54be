"""What happens to a qualification after its signature."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "life_events",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("covered_task_id", sa.String(length=40), nullable=False),
        sa.Column("act", sa.String(length=16), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("qualification", sa.String(length=24), nullable=False),
        sa.Column("about", _row_number(), nullable=True),
        sa.Column("about_by", sa.String(length=16), nullable=True),
        sa.Column("by_id", sa.String(length=16), nullable=False),
        sa.Column("by_name", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        *_checks(),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_life_events_person_id")),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name=op.f("fk_life_events_by_id")),
        sa.ForeignKeyConstraint(
            ["covered_task_id"], ["covered_tasks.id"], name=op.f("fk_life_events_covered_task_id")
        ),
        sa.ForeignKeyConstraint(
            ["qualification"], ["qualifications.number"], name=op.f("fk_life_events_qualification")
        ),
        sa.ForeignKeyConstraint(
            ["about", "about_by"],
            ["life_events.id", "life_events.by_id"],
            name=op.f("fk_life_events_about_about_by"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_life_events")),
        sa.UniqueConstraint("about", name=op.f("uq_life_events_about")),
        sa.UniqueConstraint("id", "by_id", name=op.f("uq_life_events_id_by_id")),
    )
    op.create_index(
        op.f("ix_life_events_person_id_covered_task_id"), "life_events", ["person_id", "covered_task_id"]
    )
    if op.get_bind().dialect.name == "postgresql":
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(f"CREATE TRIGGER life_events_stay BEFORE DELETE ON life_events FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER life_events_not_emptied BEFORE TRUNCATE ON life_events {refuse}")
        op.execute(f"CREATE TRIGGER life_events_keep BEFORE UPDATE ON life_events FOR EACH ROW {refuse}")
    else:
        refuse = "BEGIN SELECT RAISE(ABORT, 'life_events are kept as written'); END"
        op.execute(f"CREATE TRIGGER life_events_stay BEFORE DELETE ON life_events {refuse}")
        op.execute(f"CREATE TRIGGER life_events_keep BEFORE UPDATE ON life_events {refuse}")


def downgrade() -> None:
    op.drop_table("life_events")


def _row_number() -> Any:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _checks() -> tuple[sa.CheckConstraint, ...]:
    texts = {
        "act_is_known": "act IN ('suspended', 'lifted', 're_evaluated', 'withdrawn', 'stopped')",
        "reason_is_written": "reason <> ''",
        "suspension_has_kind": "(act = 'suspended') = (kind <> '')",
        "end_names_suspension": "(act IN ('lifted', 're_evaluated')) = (about IS NOT NULL)",
        "end_names_who_suspended": "(about IS NULL) = (about_by IS NULL)",
        "lifted_by_another": "act <> 'lifted' OR by_id <> about_by",
        "not_by_oneself": "act <> 'suspended' OR by_id <> person_id",
    }
    return tuple(
        sa.CheckConstraint(text, name=op.f(f"ck_life_events_{name}")) for name, text in texts.items()
    )
