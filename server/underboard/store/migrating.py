"""Bringing a database to the newest step.

Every start and every command comes by here, and nearly always there is nothing to do. Alembic, a sixth of the time
that a start takes, is therefore loaded where a step is run, not to see that none is missing.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, create_engine, inspect, text

from underboard.core.errors import StoreNewer
from underboard.store.database import connect_arguments, driver_url, prepare_engine
from underboard.store.tables import Base

if TYPE_CHECKING:
    from alembic.config import Config

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
    if not inspect(connection).has_table("alembic_version"):
        return None
    found: str | None = connection.execute(
        text("SELECT version_num FROM alembic_version")
    ).scalar_one_or_none()
    return found


def make_at(connection: Connection, revision: str) -> None:
    """Make the tables of one step in an empty database."""
    from alembic import command

    command.upgrade(_config(connection), revision)


def check_known(revision: str | None) -> None:
    """Refuse a step that only a later version knows.

    Raises
    ------
    StoreNewer
    """
    if revision is not None and revision not in steps():
        raise StoreNewer(revision)


def steps() -> list[str]:
    """Names of all steps, oldest first: the number that each file of a step begins with."""
    return sorted(path.name.partition("_")[0] for path in (FOLDER / "versions").glob("[0-9]*_*.py"))


def _upgrade(connection: Connection) -> bool:
    now = revision_of(connection)
    check_known(now)
    if now == steps()[-1]:
        return False
    make_at(connection, "head")
    return True


def drift(connection: Connection) -> list[object]:
    """Return what the tables in the code have and the database has not, or the reverse."""
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    context = MigrationContext.configure(connection, opts={"compare_type": False})
    return list(compare_metadata(context, Base.metadata))


def _config(connection: Connection) -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config
