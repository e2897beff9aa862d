"""Keep coaches, clients, intakes, plans, marks, links, sign-ins, the trail and replies."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the first tables."""
    op.create_table(
        "coach",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("login", sa.String(length=80), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_coach")),
        sa.UniqueConstraint("login", name=op.f("uq_coach_login")),
    )
    op.create_table(
        "client",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("coach_id", sa.String(length=64), nullable=False),
        sa.Column("role", sa.String(length=60), nullable=False),
        sa.Column("phase", sa.String(length=20), nullable=False),
        sa.Column("start", sa.Date(), nullable=False),
        sa.Column("intake_number", sa.Integer(), nullable=False),
        sa.Column("plan_number", sa.Integer(), nullable=False),
        sa.Column("planned_until", sa.Date(), nullable=True),
        sa.Column("gravest", sa.String(length=20), nullable=False),
        sa.Column("measured_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["coach_id"], ["coach.id"], name=op.f("fk_client_coach_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_client")),
    )
    op.create_index(op.f("ix_client_coach_id"), "client", ["coach_id"], unique=False)
    op.create_table(
        "entry",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("coach_id", sa.String(length=64), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("what", sa.String(length=80), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["coach_id"], ["coach.id"], name=op.f("fk_entry_coach_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
    )
    op.create_index(op.f("ix_entry_client_id"), "entry", ["client_id"], unique=False)
    op.create_index(op.f("ix_entry_coach_id"), "entry", ["coach_id"], unique=False)
    op.create_table(
        "reply",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("coach_id", sa.String(length=64), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("status", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["coach_id"], ["coach.id"], name=op.f("fk_reply_coach_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reply")),
    )
    op.create_index(op.f("ix_reply_coach_id"), "reply", ["coach_id"], unique=False)
    op.create_table(
        "sign_in",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("coach_id", sa.String(length=64), nullable=False),
        sa.Column("ends_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["coach_id"], ["coach.id"], name=op.f("fk_sign_in_coach_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in")),
    )
    op.create_index(op.f("ix_sign_in_coach_id"), "sign_in", ["coach_id"], unique=False)
    op.create_table(
        "intake_version",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["client_id"], ["client.id"], name=op.f("fk_intake_version_client_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_intake_version")),
        sa.UniqueConstraint("client_id", "number", name=op.f("uq_intake_version_client_id_number")),
    )
    op.create_index(
        op.f("ix_intake_version_client_id"), "intake_version", ["client_id"], unique=False
    )
    op.create_table(
        "link",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("ends_at", sa.DateTime(), nullable=False),
        sa.Column("revoked_at", sa.DateTime(), nullable=True),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_link_client_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_link")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_link_token_hash")),
    )
    op.create_index(op.f("ix_link_client_id"), "link", ["client_id"], unique=False)
    op.create_table(
        "mark",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("date", sa.Date(), nullable=False),
        sa.Column("slot", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(length=20), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_mark_client_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mark")),
    )
    op.create_index(op.f("ix_mark_client_id"), "mark", ["client_id"], unique=False)
    op.create_table(
        "saved_plan",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("intake_number", sa.Integer(), nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("days", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_saved_plan_client_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_saved_plan")),
        sa.UniqueConstraint("client_id", "number", name=op.f("uq_saved_plan_client_id_number")),
    )
    op.create_index(op.f("ix_saved_plan_client_id"), "saved_plan", ["client_id"], unique=False)
