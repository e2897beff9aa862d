"""Keep a coach's own foods and dishes, every version of them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table."""
    op.create_table(
        "own_version",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("coach_id", sa.String(length=64), nullable=False),
        sa.Column("what", sa.String(length=10), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["coach_id"], ["coach.id"], name=op.f("fk_own_version_coach_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_version")),
        sa.UniqueConstraint(
            "coach_id",
            "what",
            "key",
            "number",
            name=op.f("uq_own_version_coach_id_what_key_number"),
        ),
    )
    op.create_index(op.f("ix_own_version_coach_id"), "own_version", ["coach_id"], unique=False)
