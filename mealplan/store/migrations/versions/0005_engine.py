"""Keep jobs, workers, erasures and failed sign-ins; say whom a reply speaks of."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the tables."""
    op.create_table(
        "job",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("coach_id", sa.String(length=64), nullable=False),
        sa.Column("client_id", sa.String(length=64), nullable=False),
        sa.Column("asker", sa.String(length=80), nullable=False),
        sa.Column("by_link", sa.Boolean(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("task", sa.String(length=20), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("back_to", sa.String(length=200), nullable=False),
        sa.Column("wish", sa.Text(), nullable=False),
        sa.Column("part_of", sa.String(length=64), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.Column("error", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["coach_id"], ["coach.id"], name=op.f("fk_job_coach_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
    )
    op.create_index(op.f("ix_job_coach_id"), "job", ["coach_id"], unique=False)
    op.create_index(op.f("ix_job_client_id"), "job", ["client_id"], unique=False)
    op.create_index(op.f("ix_job_part_of_state"), "job", ["part_of", "state"], unique=False)
    op.create_index("ix_job_asker_state", "job", ["asker", "state"], unique=False)
    op.create_index("ix_job_state_ended_at", "job", ["state", "ended_at"], unique=False)
    op.create_table(
        "worker_seen",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("host", sa.String(length=255), nullable=False),
        sa.Column("process", sa.Integer(), nullable=False),
        sa.Column("seen_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_worker_seen")),
    )
    op.create_table(
        "tombstone",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tombstone")),
    )
    op.create_table(
        "backup_folder",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_backup_folder")),
    )
    op.create_table(
        "failed_try",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("of", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_failed_try")),
    )
    op.create_index(op.f("ix_failed_try_of_made_at"), "failed_try", ["of", "made_at"], unique=False)
    # What was answered to clients before is not known to be theirs: it is let go.
    op.execute("delete from reply")
    with op.batch_alter_table("reply") as reply:
        reply.add_column(
            sa.Column("client_id", sa.String(length=64), nullable=False, server_default="")
        )
        reply.create_index(op.f("ix_reply_client_id"), ["client_id"], unique=False)
        reply.create_index("ix_reply_made_at", ["made_at"], unique=False)
    with op.batch_alter_table("coach") as coach:
        coach.add_column(sa.Column("password_at", sa.DateTime(), nullable=True))
        coach.add_column(
            sa.Column("second_factor", sa.String(length=64), nullable=False, server_default="")
        )
        coach.add_column(
            sa.Column("second_factor_step", sa.Integer(), nullable=False, server_default="0")
        )
    with op.batch_alter_table("sign_in") as sign_in:
        sign_in.add_column(
            sa.Column("device", sa.String(length=120), nullable=False, server_default="")
        )
        sign_in.add_column(sa.Column("seen_at", sa.DateTime(), nullable=True))
