"""Photographs that go with the steps of an observation."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

KEPT_AS_WRITTEN = ("photographs", "observation_photographs")


def upgrade() -> None:
    _photographs()
    _of_observations()
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
    _none_after_the_end()


def downgrade() -> None:
    for table in reversed(KEPT_AS_WRITTEN):
        op.drop_table(table)


def _none_after_the_end() -> None:
    """Refuse a photograph of an observation that has ended, as marks are refused."""
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            "CREATE TRIGGER observation_photographs_in_time BEFORE INSERT ON observation_photographs "
            "FOR EACH ROW EXECUTE FUNCTION refuse_late_entry()"
        )
        return
    over = (
        "SELECT 1 FROM observations WHERE id = NEW.observation_id "
        "AND (closed_at IS NOT NULL OR given_up_at IS NOT NULL)"
    )
    op.execute(
        "CREATE TRIGGER observation_photographs_in_time BEFORE INSERT ON observation_photographs "
        f"WHEN EXISTS ({over}) BEGIN SELECT RAISE(ABORT, 'observations are kept as written'); END"
    )


def _row_number() -> Any:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _photographs() -> None:
    op.create_table(
        "photographs",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_photographs_named_by_hash")),
        sa.CheckConstraint("width > 0 AND height > 0", name=op.f("ck_photographs_has_a_size")),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_photographs")),
    )


def _of_observations() -> None:
    op.create_table(
        "observation_photographs",
        sa.Column("id", _row_number(), nullable=False),
        sa.Column("observation_id", _row_number(), nullable=False),
        sa.Column("ticket", sa.String(length=80), nullable=False),
        sa.Column("step", sa.String(length=80), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("ticket <> ''", name=op.f("ck_observation_photographs_ticket_not_empty")),
        sa.ForeignKeyConstraint(
            ["observation_id"], ["observations.id"], name=op.f("fk_observation_photographs_observation_id")
        ),
        sa.ForeignKeyConstraint(
            ["sha256"], ["photographs.sha256"], name=op.f("fk_observation_photographs_sha256")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_observation_photographs")),
        sa.UniqueConstraint(
            "observation_id", "ticket", name=op.f("uq_observation_photographs_observation_id_ticket")
        ),
        sa.UniqueConstraint(
            "observation_id",
            "step",
            "sha256",
            name=op.f("uq_observation_photographs_observation_id_step_sha256"),
        ),
    )
    op.create_index(op.f("ix_observation_photographs_sha256"), "observation_photographs", ["sha256"])
