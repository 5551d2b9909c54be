"""The log gets its proof: hashes beside the events, and signed checkpoints."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from trainer.records import merkle
from trainer.records.log_entry import entry, moment
from trainer.store.schema.columns import UtcTime

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

KEPT_AS_WRITTEN = ("ledger", "checkpoints")


def upgrade() -> None:
    op.create_table(
        "ledger",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("hashes", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("length(hashes) >= 32", name=op.f("ck_ledger_holds_a_hash")),
        sa.ForeignKeyConstraint(["number"], ["events.number"], name=op.f("fk_ledger_number")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_ledger")),
    )
    op.create_table(
        "checkpoints",
        sa.Column("size", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("size > 0", name=op.f("ck_checkpoints_size_is_positive")),
        sa.PrimaryKeyConstraint("size", name=op.f("pk_checkpoints")),
    )
    _hash_what_is_there()
    for table in KEPT_AS_WRITTEN:
        _guard(table)


def downgrade() -> None:
    op.drop_table("checkpoints")
    op.drop_table("ledger")


def _hash_what_is_there() -> None:
    events = sa.table(
        "events",
        sa.column("number", sa.BigInteger()),
        sa.column("at", UtcTime()),
        sa.column("person_id", sa.String()),
        sa.column("action", sa.String()),
        sa.column("payload", sa.Text()),
    )
    ledger = sa.table("ledger", sa.column("number", sa.BigInteger()), sa.column("hashes", sa.LargeBinary()))
    unit, tree = op.get_bind(), merkle.Roots()
    for row in unit.execute(sa.select(events).order_by(events.c.number)).all():
        written = entry(
            number=row.number,
            at=moment(row.at),
            person_id=row.person_id or "",
            action=row.action,
            payload=row.payload,
        )
        hashes = b"".join(tree.add(merkle.leaf_hash(written)))
        unit.execute(sa.insert(ledger), {"number": row.number, "hashes": hashes})


def _guard(table: str) -> None:
    if op.get_bind().dialect.name == "postgresql":
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE ON {table} FOR EACH ROW {refuse}")
        return
    refuse = f"BEGIN SELECT RAISE(ABORT, '{table} are kept as written'); END"
    op.execute(f"CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} {refuse}")
    op.execute(f"CREATE TRIGGER {table}_keep BEFORE UPDATE ON {table} {refuse}")
