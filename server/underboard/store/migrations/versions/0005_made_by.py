"""A record that was never changed stands for the change and the ledger entry of what made it.

A later step that makes one of these tables anew (SQLite's way to alter one) has to drop the views first.

Rows of former versions stay as they are: the log of their records lies apart from the first.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"

VIEWS = (
    """CREATE VIEW change AS
       SELECT record_id, rev, op_id, device_id, kind, "set", prev, at FROM change_apart
       UNION ALL
       SELECT id, 1, made_op, made_device, 'put', body, '{}', made_at FROM record WHERE made_op IS NOT NULL""",
    """CREATE VIEW op_result AS
       SELECT op_id, plot_id, device_id, status, rev FROM op_result_apart
       UNION ALL
       SELECT made_op, plot_id, made_device, 'applied', 1 FROM record WHERE made_op IS NOT NULL""",
)

# A record cannot be changed before what made it has its rows in log and ledger, and it is not in both places.
GUARDS = {
    "sqlite": (
        # As before, but after the row: before it, SQLite makes the row twice.
        "DROP TRIGGER record_number_made",
        """CREATE TRIGGER record_number_made AFTER INSERT ON record
           WHEN NEW.seq > (SELECT seq FROM sync_clock WHERE plot_id = NEW.plot_id)
           BEGIN SELECT RAISE(ABORT, 'record number passes the counter'); END""",
        """CREATE TRIGGER change_view_is_final INSTEAD OF UPDATE ON change
           BEGIN SELECT RAISE(ABORT, 'the change log is only appended to'); END""",
        """CREATE TRIGGER change_of_record_is_final
           BEFORE UPDATE OF id, plot_id, rev, body, made_op, made_device, made_at ON record
           WHEN OLD.made_op IS NOT NULL AND (NEW.made_op IS NOT NULL OR NOT EXISTS (
             SELECT 1 FROM change_apart c JOIN op_result_apart r ON r.op_id = c.op_id
             WHERE c.record_id = OLD.id AND c.rev = 1 AND c.op_id = OLD.made_op))
           BEGIN SELECT RAISE(ABORT, 'the change log is only appended to'); END""",
    ),
    "postgresql": (
        """CREATE TRIGGER change_view_is_final INSTEAD OF UPDATE ON change
           FOR EACH ROW EXECUTE FUNCTION guard_change()""",
        """CREATE FUNCTION guard_change_of_record() RETURNS trigger LANGUAGE plpgsql AS $$
           BEGIN
             IF NEW.made_op IS NOT NULL OR NOT EXISTS (
               SELECT 1 FROM change_apart c JOIN op_result_apart r ON r.op_id = c.op_id
               WHERE c.record_id = OLD.id AND c.rev = 1 AND c.op_id = OLD.made_op) THEN
               RAISE EXCEPTION 'the change log is only appended to';
             END IF;
             RETURN NEW;
           END $$""",
        """CREATE TRIGGER change_of_record_is_final
           BEFORE UPDATE OF id, plot_id, rev, body, made_op, made_device, made_at ON record
           FOR EACH ROW WHEN (OLD.made_op IS NOT NULL) EXECUTE FUNCTION guard_change_of_record()""",
    ),
}


def upgrade() -> None:
    op.rename_table("change", "change_apart")
    op.rename_table("op_result", "op_result_apart")
    for name in ("made_op", "made_device", "made_at"):
        op.add_column("record", sa.Column(name, sa.Text(), nullable=True))
    made = sa.text("made_op IS NOT NULL")
    op.create_index(
        op.f("ix_record_made_op"),
        "record",
        ["made_op"],
        unique=True,
        sqlite_where=made,
        postgresql_where=made,
    )
    for statement in (*VIEWS, *GUARDS[op.get_bind().dialect.name]):
        op.execute(statement)
