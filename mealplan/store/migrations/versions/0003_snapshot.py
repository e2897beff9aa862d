"""Keep what each log last said, and each client's place on the roster."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table, the client's facts, and the indexes that the roster is paged by."""
    op.create_table(
        "snapshot",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("maker", sa.String(length=64), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_snapshot_client_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_snapshot")),
        sa.UniqueConstraint("client_id", name=op.f("uq_snapshot_client_id")),
    )
    text: dict[str, Any] = {"nullable": False, "server_default": ""}
    number: dict[str, Any] = {"nullable": False, "server_default": "0"}
    for column in (
        sa.Column("revision", sa.Integer(), **number),
        sa.Column("read_on", sa.Date(), nullable=True),
        sa.Column("warning", sa.String(length=80), **text),
        sa.Column("warning_severity", sa.String(length=20), **text),
        sa.Column("warned_on", sa.Date(), nullable=True),
        sa.Column("move_kcal", sa.Float(), **number),
        sa.Column("place", sa.String(length=20), **text),
    ):
        op.add_column("client", column)
    op.create_index("ix_client_coach_id_place", "client", ["coach_id", "place", "made_at", "id"])
    op.create_index("ix_client_coach_id_role", "client", ["coach_id", "role"])
