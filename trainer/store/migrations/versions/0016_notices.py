"""Who has read what a revision changes in work they are qualified for."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "revision_reads",
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision"], ["module_revisions.revision"], name=op.f("fk_revision_reads_revision")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_revision_reads_person_id")),
        sa.PrimaryKeyConstraint("revision", "person_id", name=op.f("pk_revision_reads")),
    )
    if op.get_bind().dialect.name == "postgresql":
        refuse = "EXECUTE FUNCTION refuse_change()"
        op.execute(
            f"CREATE TRIGGER revision_reads_stay BEFORE DELETE ON revision_reads FOR EACH ROW {refuse}"
        )
        op.execute(f"CREATE TRIGGER revision_reads_not_emptied BEFORE TRUNCATE ON revision_reads {refuse}")
        op.execute(
            f"CREATE TRIGGER revision_reads_keep BEFORE UPDATE ON revision_reads FOR EACH ROW {refuse}"
        )
    else:
        refuse = "BEGIN SELECT RAISE(ABORT, 'revision_reads are kept as written'); END"
        op.execute(f"CREATE TRIGGER revision_reads_stay BEFORE DELETE ON revision_reads {refuse}")
        op.execute(f"CREATE TRIGGER revision_reads_keep BEFORE UPDATE ON revision_reads {refuse}")


def downgrade() -> None:
    op.drop_table("revision_reads")
