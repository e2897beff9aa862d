"""Keep what was ticked on a shopping list, so that all who hold it see the same."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table; ticks of before stood on one phone only."""
    op.create_table(
        "tick",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("start", sa.Date(), nullable=False),
        sa.Column("food", sa.Text(), nullable=False),
        sa.Column("what", sa.String(length=20), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_tick_client_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tick")),
    )
    op.create_index(op.f("ix_tick_client_id"), "tick", ["client_id"], unique=False)
