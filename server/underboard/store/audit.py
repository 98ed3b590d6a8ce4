"""The lines that every way in and out leaves."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, insert

from underboard.store.tables import AuditRow


def audit(
    connection: Connection, at: datetime, plot_id: str | None, what: str, who: str, detail: str
) -> None:
    row = {"at": at, "plot_id": plot_id, "what": what, "who": who, "detail": detail}
    connection.execute(insert(AuditRow), [row])
