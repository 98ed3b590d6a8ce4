"""The server is killed while two phones push, a third sends photos and the scheduled job runs beside them.

The job is due at every start, and looks at the whole plot.
"""

from __future__ import annotations

import hashlib
import io
import json
import random
import signal
import threading
import time
import urllib.error
import urllib.request
import uuid
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from http.client import HTTPException
from pathlib import Path
from typing import Any

from PIL import Image
from sqlalchemy import Engine, create_engine, delete, select, text, update

from tests.browser.server import ServerProcess
from tests.store.postgres import Cluster
from underboard.store import migrate_to_head
from underboard.store.tables import JobRunRow, SummaryRow

AT = "2026-05-03T05:30:00+01:00"
STATION = "01890000-0000-7000-8000-000000000001"
RUNNING = (JobRunRow.job == "warn", JobRunRow.state == "running")
BROKEN_OFF = (urllib.error.URLError, ConnectionError, TimeoutError, HTTPException, OSError)


@dataclass
class Pusher(threading.Thread):
    """A phone reduced to its queue: one batch after the other, and what the server has acknowledged."""

    server: ServerProcess
    plot: str
    headers: dict[str, str]
    epoch: str
    chance: random.Random
    #: record → its newest acknowledged (rev, note)
    has: dict[str, tuple[int, str]] = field(default_factory=dict)
    ops: set[str] = field(default_factory=set)
    #: sent, and no answer came
    open_batch: list[dict[str, Any]] = field(default_factory=list)
    stopped: bool = False
    fault: AssertionError | None = None

    def __hash__(self) -> int:
        return id(self)

    def __post_init__(self) -> None:
        super().__init__(daemon=True)

    def run(self) -> None:
        while not self.stopped:
            if not self.open_batch:
                self.open_batch = self.batch()
            try:
                self.send()
            except BROKEN_OFF:
                return
            except AssertionError as fault:  # nobody hears a thread
                self.fault = fault
                return

    def batch(self) -> list[dict[str, Any]]:
        """Twelve new records and up to eight edits of old ones."""
        old = self.chance.sample(sorted(self.has), min(8, len(self.has)))
        new = [str(uuid.uuid4()) for _ in range(12)]
        ops = []
        for i in [*new, *old]:
            rev = self.has.get(i, (0, ""))[0]
            first = (
                {"station_id": STATION, "state": "counted", "count": 3, "observed_at": AT} if rev == 0 else {}
            )
            note = {"note": uuid.uuid4().hex}
            ops.append({"op_id": str(uuid.uuid4()), "kind": "put", "type": "slug_count", "id": i,
                        "base_rev": rev, "base_epoch": self.epoch, "set": {**first, **note}})  # fmt: skip
        return ops

    def send(self) -> set[str]:
        frame = {"protocol": 1, "schema": 1, "plot": self.plot, "epoch": self.epoch, "sent_at": AT}
        raw = json.dumps({**frame, "ops": self.open_batch}).encode()
        answer = self.server.call("POST", "/api/v1/sync/push", raw, self.headers)
        for op, result in zip(self.open_batch, answer["results"], strict=True):
            assert result["status"] in ("applied", "duplicate"), result
            self.has[op["id"]] = (result["rev"], op["set"]["note"])
            self.ops.add(op["op_id"])
        self.open_batch = []
        return {result["status"] for result in answer["results"]}


@dataclass
class Uploader(threading.Thread):
    """Sends one new photo after the other."""

    server: ServerProcess
    plot: str
    headers: dict[str, str]
    has: set[str] = field(default_factory=set)
    open_photo: bytes = b""
    stopped: bool = False
    fault: AssertionError | None = None

    def __hash__(self) -> int:
        return id(self)

    def __post_init__(self) -> None:
        super().__init__(daemon=True)

    def run(self) -> None:
        while not self.stopped:
            if not self.open_photo:
                out = io.BytesIO()
                Image.effect_noise((500, 400), 90).save(out, "JPEG", quality=95)
                self.open_photo = out.getvalue()
            try:
                self.send()
            except BROKEN_OFF:
                return
            except AssertionError as fault:
                self.fault = fault
                return

    def send(self) -> None:
        sha256 = hashlib.sha256(self.open_photo).hexdigest()
        path = f"/api/v1/plots/{self.plot}/blobs/{sha256}"
        answer = self.server.call(
            "PUT", path, self.open_photo, {**self.headers, "Content-Type": "image/jpeg"}
        )
        assert answer["sha256"] == sha256
        self.has.add(sha256)
        self.open_photo = b""


class Serving:
    """One server with its database over all rounds."""

    span = 4.5
    name = "server"

    def __init__(self, folder: Path, cluster: Cluster | None) -> None:
        self.victim = "postgresql" if cluster else "sqlite"
        self.data = folder / f"{self.name}-{self.victim}"
        self.data.mkdir()
        url = cluster.make("killed") if cluster else f"sqlite:///{self.data / 'underboard.sqlite3'}"
        if cluster:
            migrate_to_head(url)
        self.server = ServerProcess(self.data)
        if cluster:
            self.server.on(url)
        self.server.start(seconds=120)
        self.engine: Engine = create_engine(url.replace("postgresql://", "postgresql+psycopg://"))
        code = self.server.code_for(None)
        body = json.dumps({"code": code, "device_name": "one", "want": "token"}).encode()
        paired = self.server.call("POST", "/api/v1/pair", body=body)
        self.plot, headers = str(paired["plot_id"]), {"Authorization": f"Bearer {paired['token']}"}
        self.headers = headers
        epoch = self.server.call("GET", f"/api/v1/sync/pull?plot={self.plot}", headers=headers)["epoch"]
        makers = (random.Random(1), random.Random(2))
        self.pushers = [Pusher(self.server, self.plot, headers, epoch, chance) for chance in makers]
        self.uploader = Uploader(self.server, self.plot, headers)
        #: kills that fell into a pass of the scheduled job
        self.in_pass = 0
        self.log_from = 0

    def round(self, part: float) -> bool:
        """Kill after `part` of the span; the server has just started. True when somebody waited for an answer."""
        self.pushers = [self._again(pusher) for pusher in self.pushers]
        self.uploader = Uploader(
            self.server, self.plot, self.headers, self.uploader.has, self.uploader.open_photo
        )
        threads = [*self.pushers, self.uploader]
        for thread in threads:
            thread.start()
        time.sleep(part * self.span)
        self.server.stop(signal.SIGKILL)
        for thread in threads:
            thread.join(120)
            assert not thread.is_alive()
            if thread.fault:
                raise thread.fault
        waiting = [pusher for pusher in self.pushers if pusher.open_batch]
        self.in_pass += self.died_in_pass()
        self.make_due()
        self.server.start(seconds=120)
        self.is_right()
        for pusher in waiting:
            batch = {op["op_id"] for op in pusher.open_batch}
            there = batch & self._ops()
            assert there in (set(), batch), "half a batch"
            assert pusher.send() == ({"duplicate"} if there else {"applied"})
        if self.uploader.open_photo:
            self.uploader.send()
        self.pulled()
        return bool(waiting) or bool(self.uploader.open_photo)

    def died_in_pass(self) -> bool:
        """Does a run still hold its slot that was not put off, but ended with its server?"""
        log = (self.data / "serve.log").read_bytes()
        held = select(JobRunRow.slot).where(*RUNNING, JobRunRow.lease_until > datetime.now(UTC))
        with self.engine.connect() as connection:
            found = connection.execute(held).first() is not None
        put_off = b'"job put off"' in log[self.log_from :]
        self.log_from = len(log)
        return found and not put_off

    def make_due(self) -> None:
        """Let the next server begin with a pass over all that the plot has: the quarter of an hour is not done yet,
        the lease of whoever was killed in it is over, and there is no summary to carry on."""
        over = datetime.now(UTC) - timedelta(seconds=1)
        with self.engine.begin() as connection:
            connection.execute(update(JobRunRow).where(*RUNNING).values(lease_until=over))
            connection.execute(delete(JobRunRow).where(JobRunRow.job == "warn", JobRunRow.state != "running"))
            connection.execute(delete(SummaryRow))

    def _again(self, was: Pusher) -> Pusher:
        return Pusher(
            was.server, was.plot, was.headers, was.epoch, was.chance, was.has, was.ops, was.open_batch
        )

    def _rows(self, statement: str) -> list[tuple[Any, ...]]:
        with self.engine.connect() as connection:
            return [tuple(row) for row in connection.execute(text(statement))]

    def _ops(self) -> set[str]:
        return {str(op) for (op,) in self._rows("SELECT op_id FROM op_result")}

    def is_right(self) -> None:
        """I4, I5: operation, change, record and number are there together; what was acknowledged is there."""
        ops = self._ops()
        assert {op for pusher in self.pushers for op in pusher.ops} <= ops
        assert {str(op) for (op,) in self._rows("SELECT op_id FROM change")} >= ops
        changes = dict(self._rows("SELECT record_id, count(*) FROM change GROUP BY record_id"))
        records = self._rows("SELECT id, rev, seq FROM record")
        assert {i: rev for i, rev, _ in records} == changes
        ((counter,),) = self._rows("SELECT seq FROM sync_clock")
        numbers = [seq for *_, seq in records]
        assert len(set(numbers)) == len(numbers) and max(numbers, default=0) <= counter
        for sha, size in self._rows("SELECT sha256, bytes FROM blob"):
            kept = (self.data / "blobs" / self.plot / sha[:2] / sha).read_bytes()
            assert (hashlib.sha256(kept).hexdigest(), len(kept)) == (sha, size), "half a photo"
        assert self.uploader.has <= {sha for (sha,) in self._rows("SELECT sha256 FROM blob")}

    def pulled(self) -> None:
        """Everything that was acknowledged comes to a phone that asks."""
        found = {
            r["id"]: (r["rev"], r["body"].get("note")) for r in self.server.records(self.plot, self.headers)
        }
        for pusher in self.pushers:
            wrong = {i: (has, found.get(i)) for i, has in pusher.has.items() if found.get(i) != has}
            assert wrong == {}, wrong

    def close(self) -> None:
        """The job, asked once more, finds nothing that a killed one has left half done."""
        self.server.run("warn")
        left = self.server.run("warn", "--dry-run")
        assert not any(left[what] for what in ("raised", "updated", "ended")), left
        self.server.stop()
        self.engine.dispose()
