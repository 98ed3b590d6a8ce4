"""Statements that are put into words once for each kind of database.

SQLAlchemy keeps the words of a statement too, but weighs parameters and results anew at each execution, which takes
longer than the database needs to find a row by its key. A small push or pull is little else than such look-ups. On
SQLite, which is a call into this process and nothing else, the words go to the driver at once (`store/driving.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Dialect
from sqlalchemy.sql.elements import ClauseElement

from underboard.store.driving import rows_of


@dataclass(frozen=True, slots=True)
class _Words:
    """A statement as one driver takes it."""

    text: str
    fixed: Mapping[str, Any]
    """Values that the statement brings itself."""
    writers: Mapping[str, Callable[[Any], Any]]
    """What makes of a value what the driver stores, for parameters that need it."""
    order: tuple[str, ...] | None
    """The parameters in their order; None where the driver goes by their names."""


class Prepared:
    """A statement that is asked often.

    What it finds comes as the driver gives it: SQLite knows no truth values (0 and 1) and no times (text).
    """

    def __init__(self, statement: ClauseElement) -> None:
        self._statement = statement
        self._words: dict[str, _Words] = {}

    def ask(self, connection: Connection, **values: Any) -> Sequence[Any]:
        """Execute it with these values of its parameters; return the rows."""
        words = self._words.get(connection.dialect.name) or self._put_into_words(connection.dialect)
        for name, write in words.writers.items():
            values[name] = write(values[name])
        if words.fixed:
            values = {**words.fixed, **values}
        if words.order is None:
            return rows_of(connection, words.text, values)
        return rows_of(connection, words.text, tuple([values[name] for name in words.order]))

    def first(self, connection: Connection, **values: Any) -> Any:
        """Execute it; return the one row, or None."""
        rows = self.ask(connection, **values)
        return rows[0] if rows else None

    def _put_into_words(self, dialect: Dialect) -> _Words:
        compiled: Any = self._statement.compile(dialect=dialect, compile_kwargs={"render_postcompile": True})
        fixed, writers = {}, {}
        for name, parameter in compiled.binds.items():
            if not parameter.required:
                fixed[name] = parameter.value
            elif write := parameter.type.dialect_impl(dialect).bind_processor(dialect):
                writers[name] = write
        order = tuple(compiled.positiontup) if compiled.positional else None
        self._words[dialect.name] = words = _Words(str(compiled), fixed, writers, order)
        return words
