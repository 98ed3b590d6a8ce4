"""One of many phones: pushes notes over a socket of its own, keeps what was not acknowledged, believes only answers."""

from __future__ import annotations

import asyncio
import json
import random
import uuid
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

AT = "2026-05-01T05:10:00+01:00"
TIMEOUT_S = 45.0
CALM = {"/problems/busy", "/problems/storage", "/problems/disk-full", "/problems/too-many"}
"""What a server in trouble may say; whatever else it says is a mistake of ours."""


@dataclass
class Crowd:
    """What all phones together have seen."""

    answers: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    acked: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Record id → (plot, its text), of everything that a server's answer said is stored."""
    good_at: list[float] = field(default_factory=list)
    """When (monotonic) a push was answered with its results."""


class NoAnswer(Exception):
    """The line broke, or nobody was there."""


class Phone:
    """`paired` and `token` as `House.do_open` gives them."""

    def __init__(self, crowd: Crowd, port: int, paired: dict[str, str], token: str, seed: int) -> None:
        self.crowd, self.port, self.token = crowd, port, token
        self.plot, self.device = paired["plot_id"], paired["device_id"]
        self.dice = random.Random(seed)
        self.queue: list[dict[str, Any]] = []
        self.epoch, self.cursor = "", ""
        self._line: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None

    async def live(self, until: asyncio.Event, pause: float) -> None:
        """Note, push and pull now and then until told to stop; then push until nothing waits any more."""
        while not until.is_set():
            self._note(self.dice.randint(1, 4))
            await self._round()
            await asyncio.sleep(self.dice.uniform(0.2, 1.8) * pause)
        while self.queue:
            wait = await self._round()
            await asyncio.sleep(min(wait, 2.0) if self.queue else 0.0)
        await self.hang_up()

    def _note(self, count: int) -> None:
        for _ in range(count):
            text = f"{self.dice.getrandbits(64):x} " + "x" * self.dice.randint(0, 800)
            self.queue.append(
                {
                    "op_id": str(uuid.UUID(int=self.dice.getrandbits(128), version=4)),
                    "kind": "put",
                    "type": "note",
                    "id": str(uuid.UUID(int=self.dice.getrandbits(128), version=4)),
                    "base_rev": 0,
                    "set": {"text": text, "observed_at": AT},
                }
            )

    async def _round(self) -> float:
        """Push what waits, pull what is new; answers how long to wait before the next try."""
        try:
            if not self.epoch or self.dice.random() < 0.3:
                wait = await self._pull()
                if wait:
                    return wait
            return await self._push()
        except NoAnswer:
            self.crowd.answers["no answer"] += 1
            return 0.5

    async def _push(self) -> float:
        ops = self.queue[:50]
        if not ops:
            return 0.0
        frame = {"protocol": 1, "schema": 1, "plot": self.plot, "epoch": self.epoch, "device": self.device}
        whole = {**frame, "sent_at": datetime.now(UTC).isoformat(), "ops": ops}
        status, head, body = await self._ask("POST", "/api/v1/sync/push", json.dumps(whole).encode())
        if status != 200:
            return self._refused("push", status, head, body)
        self.crowd.answers["push 200"] += 1
        self.crowd.good_at.append(asyncio.get_running_loop().time())
        through = {r["op_id"] for r in body["results"] if r["status"] in ("applied", "duplicate")}
        self.crowd.wrong += [f"result {r}" for r in body["results"] if r["op_id"] not in through]
        for op in ops:
            if op["op_id"] in through:
                self.crowd.acked[op["id"]] = (self.plot, op["set"]["text"])
        self.queue = [op for op in self.queue if op["op_id"] not in through]
        return 0.0

    async def _pull(self) -> float:
        cursor = f"&cursor={self.cursor}" if self.cursor else ""
        status, head, body = await self._ask("GET", f"/api/v1/sync/pull?plot={self.plot}&limit=100{cursor}")
        if status != 200:
            return self._refused("pull", status, head, body)
        self.crowd.answers["pull 200"] += 1
        self.epoch, self.cursor = body["epoch"], body["cursor"]
        return 0.0

    def _refused(self, what: str, status: int, head: dict[str, str], body: dict[str, Any]) -> float:
        kind = str(body.get("type"))
        self.crowd.answers[f"{what} {status} {kind.rpartition('/')[2]}"] += 1
        clear = head.get("content-type") == "application/problem+json" and kind in CALM and body.get("detail")
        if not clear or (status in (429, 503) and "retry-after" not in head):
            self.crowd.wrong.append(f"{what} {status} {head} {body}")
        return float(head.get("retry-after", 1.0))

    async def _ask(self, method: str, path: str, body: bytes = b"") -> tuple[int, dict[str, str], Any]:
        try:
            async with asyncio.timeout(TIMEOUT_S):
                return await self._exchange(method, path, body)
        except (OSError, EOFError, TimeoutError) as fault:
            await self.hang_up()
            raise NoAnswer from fault

    async def _exchange(self, method: str, path: str, body: bytes) -> tuple[int, dict[str, str], Any]:
        if self._line is None:
            self._line = await asyncio.open_connection("127.0.0.1", self.port)
        reader, writer = self._line
        head = f"{method} {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer {self.token}\r\n"
        head += f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        writer.write(head.encode() + body)
        await writer.drain()
        first, *lines = (await reader.readuntil(b"\r\n\r\n")).decode().strip().split("\r\n")
        told = {name.lower(): value for name, _, value in (line.partition(": ") for line in lines)}
        content = await reader.readexactly(int(told["content-length"]))
        return int(first.split()[1]), told, json.loads(content)

    async def hang_up(self) -> None:
        if self._line is not None:
            self._line[1].close()
            self._line = None
