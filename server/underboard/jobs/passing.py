"""One pass over one plot: gather, decide, and apply everything in one transaction."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Connection

from underboard.core.errors import Overtaken
from underboard.core.warnings import RULES
from underboard.core.warnings.decide import Change, changes_of, decide
from underboard.core.warnings.digest import take, to_json
from underboard.core.warnings.facts import Facts, HouseFacts
from underboard.core.warnings.terms import Decision, Rule
from underboard.core.warnings.timing import zone_of
from underboard.jobs.gathering import Gathered, gather, gather_as_of
from underboard.jobs.learning import fresh_fields, learned_id
from underboard.jobs.memory import Memory, Remembered
from underboard.store import job_runs, summaries
from underboard.store.database import writing
from underboard.store.deliveries import News, plan_deliveries
from underboard.store.job_runs import Claim
from underboard.store.server_records import Write, lock_plot, note_written, write_records

TRIES = 4


@dataclass(frozen=True)
class Passed:
    """What one pass decided and wrote. `records` are the warnings that were written, in wire form, by id."""

    plot_id: str
    at: datetime
    facts: Facts
    decision: Decision
    changes: tuple[Change, ...]
    records: Mapping[str, Mapping[str, Any]]
    messages: int
    read: int


def _unmarked(_point: str) -> None:
    """Nothing happens at a marked point, except in tests that kill the runner there."""


@dataclass(frozen=True)
class Passing:
    """How passes are made.

    Parameters
    ----------
    house
        What the server knows of itself, for a plot; the composition root knows where that lies.
    rules
        All of them, unless a test says otherwise.
    mark
        Called with the name of each point that was reached: gathered, decided, locked, written, committed.
    """

    house: Callable[[str], HouseFacts] = lambda _plot_id: HouseFacts()
    rules: Sequence[Rule] = field(default_factory=lambda: tuple(RULES.values()))
    mark: Callable[[str], None] = _unmarked
    memory: Memory = field(default_factory=Memory)

    def run(self, plot_id: str, now: datetime, claim: Claim | None = None, *, as_of: bool = False) -> Passed:
        """Run one pass and write what it decided.

        Parameters
        ----------
        claim
            The slot that is run; without one (a person asked) nothing is claimed and nothing is marked as done.
        as_of
            Look at the plot as it was known at `now`, which is not the time it is.

        Raises
        ------
        FenceLost
            Somebody else has the slot by now; nothing was written.
        Overtaken
            Others wrote about the plot each time it was tried.
        """
        for attempt in range(1, TRIES + 1):
            gathered, decision, changes = self._look(plot_id, now, None if as_of else self.memory, as_of)
            try:
                return self._apply(gathered, decision, changes, now, claim, as_of)
            except Overtaken:
                if attempt == TRIES:
                    raise
        raise AssertionError("unreachable")

    def look(
        self, plot_id: str, now: datetime, *, as_of: bool = False
    ) -> tuple[Gathered, Decision, list[Change]]:
        """Gather and decide, and write nothing."""
        return self._look(plot_id, now, None, as_of)

    def _look(
        self, plot_id: str, now: datetime, memory: Memory | None, as_of: bool
    ) -> tuple[Gathered, Decision, list[Change]]:
        house = self.house(plot_id)
        gathered = gather_as_of(plot_id, now, house) if as_of else gather(plot_id, now, house, memory)
        self.mark("gathered")
        decision = decide(gathered.facts, now, self.rules)
        changes = changes_of(gathered.facts, decision, now, gathered.taught.get("scores"))
        self.mark("decided")
        return gathered, decision, changes

    def _apply(
        self,
        gathered: Gathered,
        decision: Decision,
        changes: Sequence[Change],
        now: datetime,
        claim: Claim | None,
        as_of: bool,
    ) -> Passed:
        plot_id = gathered.plot_id
        with writing() as connection:
            epoch, before = lock_plot(connection, plot_id)
            if claim is not None:
                job_runs.finish(connection, claim, now)
            if epoch != gathered.epoch:
                raise Overtaken(plot_id)
            self.mark("locked")
            writes = [Write(one.op_id, "warning", one.id, one.set) for one in changes]
            if not as_of:
                writes += _learned(gathered, now)
            records = {one["id"]: one for one in write_records(connection, plot_id, writes, now)}
            written = tuple(one for one in changes if one.id in records)
            messages = self._tell(connection, gathered.facts, written, now)
            seq = max([before, *(one["seq"] for one in records.values())])
            took = seq if before == gathered.seq else gathered.seq
            _keep(connection, gathered, records, took, now, claim, as_of)
            self.mark("written")
        note_written(plot_id, epoch, seq)
        if not as_of:
            own = frozenset(one["type"] for one in records.values())
            version = gathered.summary.version + 1
            kept = Remembered(version, gathered.digest, gathered.facts, gathered.taught, own)
            self.memory.put(plot_id, kept)
        self.mark("committed")
        return Passed(plot_id, now, gathered.facts, decision, written, records, messages, gathered.read)

    def _tell(self, connection: Connection, facts: Facts, written: Iterable[Change], now: datetime) -> int:
        """Put into the outbox what people should hear of; what is over is only shown."""
        wakes = {rule.name: rule.wake for rule in self.rules}
        news = [
            News(
                warning_id=one.id,
                rule=one.rule,
                stage=one.stage,
                window_end=one.due.window_end,
                wakes=wakes.get(one.rule, False),
            )
            for one in written
            if one.stage is not None and one.due is not None
        ]
        watches = {
            rule: {
                "settings": watch.settings,
                "quiet_from": watch.quiet_from,
                "quiet_to": watch.quiet_to,
                "channels": None if watch.channels is None else list(watch.channels),
            }
            for rule, watch in facts.watches.items()
        }
        zone = zone_of(facts.plot.time_zone)
        return plan_deliveries(connection, facts.plot.id, news, watches, now, zone)


def _learned(gathered: Gathered, now: datetime) -> list[Write]:
    """Write what was learned if it differs from what the plot's record says."""
    there = gathered.learned
    fresh = fresh_fields(gathered.facts, gathered.taught, there, now)
    if not fresh:
        return []
    id_ = learned_id(gathered.plot_id)
    # The same may be learned again after something else was, so the revision belongs to the operation.
    op_id = str(uuid.uuid5(uuid.UUID(id_), f"after/{there['rev'] if there is not None else 0}"))
    return [Write(op_id, "learned", id_, fresh)]


def _keep(
    connection: Connection,
    gathered: Gathered,
    records: Mapping[str, Mapping[str, Any]],
    seq: int,
    now: datetime,
    claim: Claim | None,
    as_of: bool,
) -> None:
    """Replace the summary, unless somebody else did since it was read.

    A look at another time leaves it as it was; only its version goes up, so that a pass that is under way
    reads again.
    """
    old, digest = gathered.summary, gathered.digest
    if as_of:
        if old.version and old.decided_at is not None:
            summaries.write(
                connection, old, epoch=old.epoch, seq=old.seq, zone=old.zone, slot=None, now=old.decided_at,
                body=None,
            )  # fmt: skip
        return
    take(digest, records.values())
    summaries.write(
        connection,
        old,
        epoch=gathered.epoch,
        seq=seq,
        zone=digest.spot.time_zone,
        slot=claim.slot if claim is not None else None,
        now=now,
        body=to_json(digest) if gathered.moved or records else None,
    )
