"""`column is one of these`, as one parameter however many there are, in a statement that can be kept."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import ARRAY, Boolean, Dialect, Text, bindparam
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.orm import InstrumentedAttribute
from sqlalchemy.sql.compiler import SQLCompiler
from sqlalchemy.sql.functions import FunctionElement
from sqlalchemy.types import TypeDecorator, TypeEngine


class _Texts(TypeDecorator[Collection[str]]):
    """Texts as one value: a JSON list for SQLite, an array for PostgreSQL."""

    impl = Text
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(ARRAY(Text) if dialect.name == "postgresql" else Text())

    def process_bind_param(self, value: Collection[str] | None, dialect: Dialect) -> Any:
        listed = list(value or ())
        return listed if dialect.name == "postgresql" else json.dumps(listed)


class _Among(FunctionElement[bool]):
    name = "among"
    type = Boolean()
    inherit_cache = True

    def self_group(self, against: Any = None) -> Any:
        # A condition already. SQLite knows no truth values, so `= 1` would be put behind it, and what is compared
        # with 1 is looked for in the whole table instead of the index.
        return self


@compiles(_Among, "sqlite")
def _on_sqlite(element: _Among, compiler: SQLCompiler, **how: Any) -> str:
    column, texts = (compiler.process(part, **how) for part in element.clauses)
    return f"{column} IN (SELECT value FROM json_each({texts}))"


@compiles(_Among, "postgresql")
def _on_postgresql(element: _Among, compiler: SQLCompiler, **how: Any) -> str:
    column, texts = (compiler.process(part, **how) for part in element.clauses)
    return f"{column} = ANY({texts})"


def among(column: InstrumentedAttribute[str], values: Iterable[str]) -> _Among:
    """Return the condition that `column` is one of `values`."""
    return _Among(column, bindparam(None, list(values), type_=_Texts(), unique=True))


def among_named(column: InstrumentedAttribute[str] | InstrumentedAttribute[str | None], name: str) -> _Among:
    """Return the same condition for a statement that is built once: the parameter `name` brings the texts."""
    return _Among(column, bindparam(name, type_=_Texts()))
