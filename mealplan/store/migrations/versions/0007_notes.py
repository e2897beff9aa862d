"""Keep the coach's notes on a client, and say which entries of a log came in together."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table and the column; entries of before came in one by one, as far as is known."""
    op.create_table(
        "note",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("shown", sa.Boolean(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_note_client_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_note")),
    )
    op.create_index(op.f("ix_note_client_id"), "note", ["client_id"], unique=False)
    with op.batch_alter_table("logged") as logged:
        logged.add_column(sa.Column("batch", sa.String(64), nullable=False, server_default=""))
