"""Alembic's entry: the connection is handed in, nothing is read from a file."""

from __future__ import annotations

from alembic import context

from underboard.store.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
    compare_type=False,
)
with context.begin_transaction():
    context.run_migrations()
