"""Keep tables that several clients share, who sits at them, and seats that were offered."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the three tables."""
    op.create_table(
        "shared_table",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("coach_id", sa.String(length=64), nullable=False),
        sa.Column("shared", sa.Text(), nullable=False),
        sa.Column("guests", sa.Text(), nullable=False),
        sa.Column("meals", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["coach_id"], ["coach.id"], name=op.f("fk_shared_table_coach_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shared_table")),
    )
    op.create_index(op.f("ix_shared_table_coach_id"), "shared_table", ["coach_id"], unique=False)
    op.create_table(
        "seat",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("table_id", sa.String(length=64), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_seat_client_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_seat")),
        sa.UniqueConstraint("client_id", name=op.f("uq_seat_client_id")),
    )
    op.create_index(op.f("ix_seat_client_id"), "seat", ["client_id"], unique=False)
    op.create_index(op.f("ix_seat_table_id"), "seat", ["table_id"], unique=False)
    op.create_table(
        "seat_offer",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("coach_id", sa.String(length=64), nullable=False),
        sa.Column("table_id", sa.String(length=64), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("ends_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["coach_id"], ["coach.id"], name=op.f("fk_seat_offer_coach_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_seat_offer")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_seat_offer_token_hash")),
    )
    op.create_index(op.f("ix_seat_offer_coach_id"), "seat_offer", ["coach_id"], unique=False)
    op.create_index(op.f("ix_seat_offer_table_id"), "seat_offer", ["table_id"], unique=False)
