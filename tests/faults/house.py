"""The house of a history: the real app, called in this process, and what the oracle may look at behind it."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import uuid
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any

from flask import Flask
from sqlalchemy import Connection, delete, insert, select, update
from sqlalchemy.orm import DeclarativeBase

from underboard.store import db
from underboard.store.log_views import ChangeRow
from underboard.store.restore import begin_new_epoch
from underboard.store.tables import (
    ChangeApart,
    ConflictRow,
    DeviceRow,
    OpResultApart,
    RecordRow,
    SyncClock,
)

Rows = dict[type[DeclarativeBase], list[dict[str, Any]]]


class House:
    """One app; `open` begins a new plot in it for the next history."""

    def __init__(self, app: Flask, server_id: str) -> None:
        self.app = app
        self.server_id = server_id
        self.plot = ""
        self.backups: list[Rows] = []

    def let_go(self) -> None:
        """Hold no file open: somebody is about to put another database in its place."""
        with self.app.app_context():
            db.engine.dispose()

    def answer(self, question: dict[str, Any]) -> Any:
        """Do what the world asks: `do` names it, the other members are its arguments."""
        return getattr(self, "do_" + question.pop("do"))(**question)

    def do_open(self, devices: int) -> list[dict[str, Any]]:
        """Begin a new plot with so many paired devices; return what each of them knows."""
        self.plot, self.backups = str(uuid.uuid4()), []
        now = datetime.now(UTC)
        known = []
        with self.app.app_context(), db.engine.begin() as connection:
            connection.execute(
                insert(SyncClock).values(plot_id=self.plot, epoch=str(uuid.uuid4()), seq=0, gc_seq=0)
            )
            for number in range(devices):
                device, token = str(uuid.uuid4()), uuid.uuid4().hex
                connection.execute(
                    insert(DeviceRow).values(
                        id=device,
                        plot_id=self.plot,
                        name=f"phone {number}",
                        role="helper",
                        kind="token",
                        token_sha256=hashlib.sha256(token.encode()).hexdigest(),
                        created_at=now,
                        last_seen_at=now,
                    )
                )
                paired = {"plot_id": self.plot, "device_id": device, "server_id": self.server_id}
                known.append({"paired": paired, "token": token})
        return known

    def do_ask(
        self, path: str, method: str, headers: dict[str, str], body: str | None = None
    ) -> dict[str, Any]:
        """One HTTP request to the app, without a socket; bodies are base64."""
        bare, _, query = path.partition("?")
        sent = base64.b64decode(body) if body else b""
        environ: dict[str, Any] = {
            "REQUEST_METHOD": method,
            "SCRIPT_NAME": "",
            "PATH_INFO": bare,
            "QUERY_STRING": query,
            "SERVER_NAME": "localhost",
            "SERVER_PORT": "80",
            "SERVER_PROTOCOL": "HTTP/1.1",
            "REMOTE_ADDR": "127.0.0.1",
            "wsgi.version": (1, 0),
            "wsgi.url_scheme": "http",
            "wsgi.input": io.BytesIO(sent),
            "wsgi.errors": io.StringIO(),
            "wsgi.multithread": False,
            "wsgi.multiprocess": False,
            "wsgi.run_once": False,
            "CONTENT_LENGTH": str(len(sent)),
        }
        for name, value in headers.items():
            key = name.upper().replace("-", "_")
            environ[key if key == "CONTENT_TYPE" else f"HTTP_{key}"] = value
        started: list[Any] = []

        def start(*answer: Any) -> Any:
            started.extend(answer)

        parts: Iterable[bytes] = self.app.wsgi_app(environ, start)
        answered = b"".join(parts)
        getattr(parts, "close", lambda: None)()
        return {
            "status": int(started[0].split()[0]),
            "headers": dict(started[1]),
            "body": base64.b64encode(answered).decode(),
        }

    def do_truth(self) -> dict[str, Any]:
        """Everything the server holds of the plot."""
        rows = self._rows()
        kept = [
            {"id": row["id"], "record": row["record_id"], "set": json.loads(row["set"]), "why": row["why"]}
            | {"open": row["resolved_by"] is None}
            for row in rows[ConflictRow]
        ]
        return {
            "epoch": rows[SyncClock][0]["epoch"],
            "records": [
                {
                    "id": row["id"],
                    "rev": row["rev"],
                    "deleted": row["deleted"],
                    "body": json.loads(row["body"]),
                    "conflicts": [one for one in kept if one["open"] and one["record"] == row["id"]],
                }
                for row in rows[RecordRow]
            ],
            "changes": [
                {"id": row["record_id"], "rev": row["rev"], "op_id": row["op_id"], "kind": row["kind"]}
                | {"set": json.loads(row["set"]), "prev": json.loads(row["prev"])}
                for row in sorted(rows[ChangeRow], key=lambda row: (row["record_id"], row["rev"]))
            ],
            "conflict_sets": [{"id": one["id"], "set": one["set"]} for one in kept],
        }

    def do_snapshot(self) -> int:
        """Keep a backup of the plot."""
        self.backups.append(self._rows())
        return len(self.backups) - 1

    def do_restore(self, snapshot: int) -> None:
        """Bring a backup back as a restore does: another epoch, and the revisions it knows noted."""
        rows = self.backups[snapshot]
        with self._alone() as connection:
            ids = [row["id"] for row in self._rows_in(connection)[RecordRow]]
            connection.execute(delete(ChangeApart).where(ChangeApart.record_id.in_(ids)))
            connection.execute(delete(ConflictRow).where(ConflictRow.record_id.in_(ids)))
            connection.execute(delete(OpResultApart).where(OpResultApart.plot_id == self.plot))
            connection.execute(delete(RecordRow).where(RecordRow.plot_id == self.plot))
            # The counter first, as every writer does: the database checks the numbers against it.
            clock = update(SyncClock).where(SyncClock.plot_id == self.plot)
            was = rows[SyncClock][0]
            connection.execute(clock.values(seq=was["seq"], epoch=was["epoch"]))
            for table in (RecordRow, ChangeApart, ConflictRow, OpResultApart):
                if rows[table]:
                    connection.execute(insert(table), rows[table])
            begin_new_epoch(connection, self.plot)

    def _rows(self) -> Rows:
        with self._alone() as connection:
            return self._rows_in(connection)

    @contextmanager
    def _alone(self) -> Iterator[Connection]:
        """One transaction with the plot locked, as a backup and a restore see it: a push that the network has delayed
        may be on its way to the server at this very moment, and must be in the rows wholly or not at all."""
        with self.app.app_context(), db.engine.begin() as connection:
            connection.execute(
                update(SyncClock).where(SyncClock.plot_id == self.plot).values(seq=SyncClock.seq)
            )
            yield connection

    def _rows_in(self, connection: Connection) -> Rows:
        def all_of(table: type[DeclarativeBase], where: Any) -> list[dict[str, Any]]:
            return [dict(row._mapping) for row in connection.execute(select(table).where(where))]

        records = all_of(RecordRow, RecordRow.plot_id == self.plot)
        ids = [row["id"] for row in records]
        return {
            SyncClock: all_of(SyncClock, SyncClock.plot_id == self.plot),
            RecordRow: records,
            ChangeRow: all_of(ChangeRow, ChangeRow.record_id.in_(ids)),
            ConflictRow: all_of(ConflictRow, ConflictRow.record_id.in_(ids)),
            ChangeApart: all_of(ChangeApart, ChangeApart.record_id.in_(ids)),
            OpResultApart: all_of(OpResultApart, OpResultApart.plot_id == self.plot),
        }
