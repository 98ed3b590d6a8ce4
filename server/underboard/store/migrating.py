"""Bringing a database to the newest step."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, create_engine

from underboard.core.errors import StoreNewer
from underboard.store.database import connect_arguments, driver_url, prepare_engine
from underboard.store.tables import Base

FOLDER = Path(__file__).parent / "migrations"


def migrate_to_head(url: str) -> bool:
    """Run the steps that are missing; return whether there were any.

    Raises
    ------
    StoreNewer
        A later version of Underboard wrote this database; nothing was changed.
    """
    url = driver_url(url)
    engine = create_engine(url, connect_args=connect_arguments(url))
    prepare_engine(engine)
    try:
        with engine.execution_options(writes=True).begin() as connection:
            return _upgrade(connection)
    finally:
        engine.dispose()


def revision_of(connection: Connection) -> str | None:
    """Return the step a database is at; None when it is empty."""
    return MigrationContext.configure(connection).get_current_revision()


def make_at(connection: Connection, revision: str) -> None:
    """Make the tables of one step in an empty database."""
    command.upgrade(_config(connection), revision)


def check_known(revision: str | None) -> None:
    """Refuse a step that only a later version knows.

    Raises
    ------
    StoreNewer
    """
    script = ScriptDirectory(str(FOLDER))
    if revision is not None and revision not in {step.revision for step in script.walk_revisions()}:
        raise StoreNewer(revision)


def _upgrade(connection: Connection) -> bool:
    config = _config(connection)
    script = ScriptDirectory.from_config(config)
    now = MigrationContext.configure(connection).get_current_revision()
    known = {step.revision for step in script.walk_revisions()}
    if now is not None and now not in known:
        raise StoreNewer(now)
    if now == script.get_current_head():
        return False
    command.upgrade(config, "head")
    return True


def drift(connection: Connection) -> list[object]:
    """Return what the tables in the code have and the database has not, or the reverse."""
    context = MigrationContext.configure(connection, opts={"compare_type": False})
    return list(compare_metadata(context, Base.metadata))


def _config(connection: Connection) -> Config:
    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config
