"""An index by which the qualifications that ended before their last day are found in the order of their ends."""

from __future__ import annotations

from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index("ix_qualifications_ended_on", "qualifications", ["ended_on"])


def downgrade() -> None:
    op.drop_index("ix_qualifications_ended_on", "qualifications")
