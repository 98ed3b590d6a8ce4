"""Runs of the scheduled jobs, and what they keep of the records they have read."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "job_run",
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("slot", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("lease_until", sa.DateTime(timezone=True), nullable=False),
        sa.Column("fence", sa.Integer(), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("finished_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("fault", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("job", "plot_id", "slot", name=op.f("pk_job_run")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "summary",
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("epoch", sa.Text(), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("slot", sa.DateTime(timezone=True), nullable=True),
        sa.Column("decided_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["plot_id"], ["sync_clock.plot_id"], name=op.f("fk_summary_plot_id")),
        sa.PrimaryKeyConstraint("plot_id", "name", name=op.f("pk_summary")),
        sqlite_with_rowid=False,
    )
