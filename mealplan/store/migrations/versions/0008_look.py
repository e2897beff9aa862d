"""Let a planned change be looked at before it is kept: it waits with its job."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; jobs of before kept what they made."""
    with op.batch_alter_table("job") as job:
        job.add_column(sa.Column("result", sa.Text(), nullable=False, server_default=""))
