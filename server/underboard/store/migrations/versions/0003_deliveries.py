"""Messages on their way, and where they go: phones, mail addresses, calendar feeds."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_table(
        "delivery",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("warning_id", sa.Text(), nullable=False),
        sa.Column("channel", sa.Text(), nullable=False),
        sa.Column("target_id", sa.Text(), nullable=False),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("next_try_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("not_after", sa.DateTime(timezone=True), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("parcel", sa.Text(), nullable=True),
        sa.Column("lease_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("fence", sa.Integer(), nullable=False),
        sa.Column("settled_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("words", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["plot_id"], ["sync_clock.plot_id"], name=op.f("fk_delivery_plot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_delivery")),
        sa.UniqueConstraint(
            "warning_id",
            "channel",
            "target_id",
            "stage",
            name=op.f("uq_delivery_warning_id_channel_target_id_stage"),
        ),
    )
    op.create_index(op.f("ix_delivery_state_next_try_at"), "delivery", ["state", "next_try_at"])
    op.create_index(
        op.f("ix_delivery_plot_id_channel_target_id_state"),
        "delivery",
        ["plot_id", "channel", "target_id", "state"],
    )

    op.create_table(
        "push_target",
        sa.Column("device_id", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("endpoint", sa.Text(), nullable=True),
        sa.Column("p256dh", sa.Text(), nullable=False),
        sa.Column("auth", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_sent_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("failing_since", sa.DateTime(timezone=True), nullable=True),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["device_id"], ["device.id"], name=op.f("fk_push_target_device_id")),
        sa.ForeignKeyConstraint(["plot_id"], ["sync_clock.plot_id"], name=op.f("fk_push_target_plot_id")),
        sa.PrimaryKeyConstraint("device_id", name=op.f("pk_push_target")),
        sa.UniqueConstraint("endpoint", name=op.f("uq_push_target_endpoint")),
    )
    op.create_index(op.f("ix_push_target_plot_id"), "push_target", ["plot_id"])

    op.create_table(
        "mail_target",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("stop_token", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("stopped_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("last_sent_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("failing_since", sa.DateTime(timezone=True), nullable=True),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["plot_id"], ["sync_clock.plot_id"], name=op.f("fk_mail_target_plot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mail_target")),
        sa.UniqueConstraint("stop_token", name=op.f("uq_mail_target_stop_token")),
        sa.UniqueConstraint("plot_id", "address", name=op.f("uq_mail_target_plot_id_address")),
    )
    op.create_table(
        "calendar_feed",
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("secret_sha256", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_read_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["plot_id"], ["sync_clock.plot_id"], name=op.f("fk_calendar_feed_plot_id")),
        sa.PrimaryKeyConstraint("plot_id", name=op.f("pk_calendar_feed")),
        sa.UniqueConstraint("secret_sha256", name=op.f("uq_calendar_feed_secret_sha256")),
    )
