"""Let a plan run on: each kept plan says what it changed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; plans kept before hold all their days and changed them all."""
    with op.batch_alter_table("saved_plan") as saved_plan:
        saved_plan.add_column(sa.Column("change", sa.Text(), nullable=False, server_default="{}"))
