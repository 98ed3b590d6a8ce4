"""First tables, and the triggers that guard the order of changes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


# A record's number only goes up and never passes the plot's counter; on PostgreSQL the counter row must have
# been updated by the same transaction, which is what keeps numbers and commits in one order. The change log
# is only appended to.
GUARDS = {
    "sqlite": (
        """CREATE TRIGGER record_number_made BEFORE INSERT ON record
           WHEN NEW.seq > (SELECT seq FROM sync_clock WHERE plot_id = NEW.plot_id)
           BEGIN SELECT RAISE(ABORT, 'record number passes the counter'); END""",
        """CREATE TRIGGER record_number_moved BEFORE UPDATE OF seq ON record
           WHEN NEW.seq < OLD.seq OR NEW.seq > (SELECT seq FROM sync_clock WHERE plot_id = NEW.plot_id)
           BEGIN SELECT RAISE(ABORT, 'record number goes back or passes the counter'); END""",
        """CREATE TRIGGER change_is_final BEFORE UPDATE ON change
           BEGIN SELECT RAISE(ABORT, 'the change log is only appended to'); END""",
    ),
    "postgresql": (
        """CREATE FUNCTION guard_record_number() RETURNS trigger LANGUAGE plpgsql AS $$
           BEGIN
             IF TG_OP = 'UPDATE' AND NEW.seq < OLD.seq THEN
               RAISE EXCEPTION 'record number goes back';
             END IF;
             IF (TG_OP = 'INSERT' OR NEW.seq <> OLD.seq) AND NOT EXISTS (
               SELECT 1 FROM sync_clock c WHERE c.plot_id = NEW.plot_id AND NEW.seq <= c.seq
                 AND c.xmin = pg_current_xact_id()::xid) THEN
               RAISE EXCEPTION 'record number without the counter row';
             END IF;
             RETURN NEW;
           END $$""",
        """CREATE TRIGGER record_number BEFORE INSERT OR UPDATE ON record
           FOR EACH ROW EXECUTE FUNCTION guard_record_number()""",
        """CREATE FUNCTION guard_change() RETURNS trigger LANGUAGE plpgsql AS $$
           BEGIN RAISE EXCEPTION 'the change log is only appended to'; END $$""",
        """CREATE TRIGGER change_is_final BEFORE UPDATE ON change
           FOR EACH ROW EXECUTE FUNCTION guard_change()""",
    ),
}


def upgrade() -> None:
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=True),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit")),
    )
    with op.batch_alter_table("audit", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_audit_plot_id"), ["plot_id"], unique=False)

    op.create_table(
        "blob_name",
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("record_id", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("plot_id", "sha256", "record_id", name=op.f("pk_blob_name")),
    )
    op.create_table(
        "change",
        sa.Column("record_id", sa.Text(), nullable=False),
        sa.Column("rev", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("op_id", sa.Text(), nullable=False),
        sa.Column("device_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("set", sa.Text(), nullable=False),
        sa.Column("prev", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("record_id", "rev", name=op.f("pk_change")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "conflict",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("record_id", sa.Text(), nullable=False),
        sa.Column("device_id", sa.Text(), nullable=False),
        sa.Column("set", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("base_rev", sa.BigInteger(), nullable=False),
        sa.Column("resolved_by", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_conflict")),
    )
    with op.batch_alter_table("conflict", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_conflict_record_id"), ["record_id"], unique=False)

    op.create_table(
        "op_result",
        sa.Column("op_id", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("device_id", sa.Text(), nullable=False),
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("rev", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("op_id", name=op.f("pk_op_result")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "pairing_code",
        sa.Column("code_sha256", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=True),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("typed", sa.Boolean(), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("wrong_tries", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("code_sha256", name=op.f("pk_pairing_code")),
    )
    op.create_table(
        "sync_clock",
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("epoch", sa.Text(), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("gc_seq", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("plot_id", name=op.f("pk_sync_clock")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "blob",
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("mime", sa.Text(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("device_id", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["plot_id"], ["sync_clock.plot_id"], name=op.f("fk_blob_plot_id")),
        sa.PrimaryKeyConstraint("plot_id", "sha256", name=op.f("pk_blob")),
    )
    op.create_table(
        "device",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("token_sha256", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("last_push_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["plot_id"], ["sync_clock.plot_id"], name=op.f("fk_device_plot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_device")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_device_token_sha256")),
    )
    with op.batch_alter_table("device", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_device_plot_id"), ["plot_id"], unique=False)

    op.create_table(
        "record",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.Text(), nullable=False),
        sa.Column("type", sa.Text(), nullable=False),
        sa.Column("rev", sa.BigInteger(), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("deleted", sa.Boolean(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("restored_rev", sa.BigInteger(), nullable=False),
        sa.Column("clock_suspect", sa.Boolean(), nullable=False),
        sa.Column("open_conflicts", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["plot_id"], ["sync_clock.plot_id"], name=op.f("fk_record_plot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_record")),
    )
    with op.batch_alter_table("record", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_record_plot_id_seq"), ["plot_id", "seq"], unique=True)

    for statement in GUARDS[op.get_bind().dialect.name]:
        op.execute(statement)
