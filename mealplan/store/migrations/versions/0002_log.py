"""Keep what clients log, what coaches decide on it, and when each last logged."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the two tables and the client's last logged day."""
    for name in ("logged", "decision"):
        gone = [sa.Column("gone_at", sa.DateTime(), nullable=True)] if name == "logged" else []
        why = [sa.Column("why", sa.Text(), nullable=False)] if name == "logged" else []
        op.create_table(
            name,
            sa.Column("id", sa.String(length=64), nullable=False),
            sa.Column("made_at", sa.DateTime(), nullable=False),
            sa.Column("client_id", sa.String(length=64), nullable=False),
            sa.Column("day", sa.Date(), nullable=False),
            sa.Column("body", sa.Text(), nullable=False),
            sa.Column("by", sa.String(length=80), nullable=False),
            *gone,
            *why,
            sa.ForeignKeyConstraint(
                ["client_id"], ["client.id"], name=op.f(f"fk_{name}_client_id")
            ),
            sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{name}")),
        )
        op.create_index(op.f(f"ix_{name}_client_id"), name, ["client_id"], unique=False)
    op.add_column("client", sa.Column("logged_on", sa.Date(), nullable=True))
