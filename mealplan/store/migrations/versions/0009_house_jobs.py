"""Let a job belong to the service itself: backups and retention are no coach's."""

from __future__ import annotations

from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Let go of the rule that every job's coach has an account."""
    with op.batch_alter_table("job") as job:
        job.drop_constraint(op.f("fk_job_coach_id"), type_="foreignkey")
