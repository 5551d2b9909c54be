"""Who signs in as whom of a provider."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "provider_links",
        sa.Column("issuer", sa.String(length=255), nullable=False),
        sa.Column("subject", sa.String(length=255), nullable=False),
        sa.Column("person_id", sa.String(length=16), nullable=False),
        sa.Column("linked_by", sa.String(length=16)),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("subject <> ''", name=op.f("ck_provider_links_subject_not_empty")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_provider_links_person_id")),
        sa.ForeignKeyConstraint(["linked_by"], ["people.id"], name=op.f("fk_provider_links_linked_by")),
        sa.PrimaryKeyConstraint("issuer", "subject", name=op.f("pk_provider_links")),
    )
    op.create_index(
        op.f("ix_provider_links_person_id_issuer"), "provider_links", ["person_id", "issuer"], unique=True
    )


def downgrade() -> None:
    op.drop_table("provider_links")
