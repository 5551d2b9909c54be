"""The numbers of the programme, each policy as it was set."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "policies",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("written", sa.Text(), nullable=False),
        sa.Column("because", sa.Text(), nullable=False),
        sa.Column("set_by", sa.String(length=16), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_policies_sha256_is_a_hash")),
        sa.CheckConstraint("because <> ''", name=op.f("ck_policies_reason_is_written")),
        sa.ForeignKeyConstraint(["set_by"], ["people.id"], name=op.f("fk_policies_set_by")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_policies")),
    )
    op.create_index(op.f("ix_policies_sha256"), "policies", ["sha256"])
    if op.get_bind().dialect.name == "postgresql":
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(f"CREATE TRIGGER policies_stay BEFORE DELETE ON policies FOR EACH ROW {refuse}")
        op.execute(f"CREATE TRIGGER policies_not_emptied BEFORE TRUNCATE ON policies {refuse}")
        op.execute(f"CREATE TRIGGER policies_keep BEFORE UPDATE ON policies FOR EACH ROW {refuse}")
    else:
        refuse = "BEGIN SELECT RAISE(ABORT, 'policies are kept as written'); END"
        op.execute(f"CREATE TRIGGER policies_stay BEFORE DELETE ON policies {refuse}")
        op.execute(f"CREATE TRIGGER policies_keep BEFORE UPDATE ON policies {refuse}")


def downgrade() -> None:
    op.drop_table("policies")
