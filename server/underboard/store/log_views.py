"""The whole change log and the whole ledger, wherever their entries lie.

Most records are made once and never changed. The row of such a record says everything about the operation that made
it, so it stands for the change and for the ledger entry, too: one row is written where three would say the same, and
the log is a third of the size. Whoever reads the log reads these views.

Ask them for one record or one operation: in a join, or for many ids, SQLite works out a view for all records first.
There, `ChangeApart` and `OpResultApart` are asked, and `RecordRow.made_op` where records may be untouched.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, registry

from underboard.store.tables import ChangeColumns


class View(DeclarativeBase):
    """Of its own, so that no table is ever made or missed for one."""

    registry = registry(type_annotation_map={str: Text()})


class ChangeRow(ChangeColumns, View):
    """Every operation that touched a record, with what it replaced."""

    __tablename__ = "change"


class OpResultRow(View):
    """What became of every operation. The digest of one that lies with its record is made when it is asked for."""

    __tablename__ = "op_result"
    op_id: Mapped[str] = mapped_column(primary_key=True)
    plot_id: Mapped[str]
    device_id: Mapped[str]
    status: Mapped[str]
    rev: Mapped[int] = mapped_column(BigInteger)
