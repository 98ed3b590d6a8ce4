"""What is known of a plot now: its digest brought up to date with what has changed since, and the facts in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from underboard.core.records.kinds import read_instant
from underboard.core.warnings import digest as digests
from underboard.core.warnings.digest import Digest, TooOld
from underboard.core.warnings.facts import Facts, HouseFacts
from underboard.core.warnings.facts_of import facts_of
from underboard.core.warnings.timing import zone_of
from underboard.jobs.learning import learned_id, taught
from underboard.jobs.memory import Memory, Remembered
from underboard.store import summaries
from underboard.store.summaries import Reading, Summary

NAME = "warnings"
# Since when a record says something, the first field it has; what has none of them was always so.
_BEGINS = ("set_at", "started_at", "observed_at", "raised_at")


@dataclass(slots=True)
class Gathered:
    """One plot at one time. `summary` is the one that was read; `moved` says that the digest is another by now."""

    plot_id: str
    epoch: str
    seq: int
    summary: Summary
    digest: Digest
    facts: Facts
    moved: bool
    read: int
    """Records that were read for it."""
    taught: Mapping[str, Any]
    """What the facts teach."""
    learned: dict[str, Any] | None
    """The plot's `learned` record as it stands."""


def gather(plot_id: str, now: datetime, house: HouseFacts, memory: Memory | None = None) -> Gathered:
    """Read what has changed since the last pass; everything only if the summary cannot be carried on.

    Raises
    ------
    UnknownPlot
    """
    had = memory.take(plot_id) if memory is not None else None
    known = summaries.read(plot_id, NAME, had.version if had is not None else 0)
    if had is not None and had.version != known.summary.version:
        had = None
    found = None if known.whole else _carried_on(plot_id, known, had.digest if had is not None else None)
    if found is None:
        digest, news = _from_scratch(plot_id, known.seq, now)
    else:
        digest, news = found
    other_day = _is_another_day(known.summary.decided_at, now, digest)
    if found is None or news or other_day:
        digests.forget(digest, now.astimezone(zone_of(digest.spot.time_zone)).date())
    facts, learned = _facts(digest, house, None if found is None or other_day else had, frozenset(news))
    return Gathered(
        plot_id=plot_id,
        epoch=known.epoch,
        seq=known.seq,
        summary=known.summary,
        digest=digest,
        facts=facts,
        moved=found is None or bool(news) or other_day,
        read=news.total(),
        taught=learned,
        learned=summaries.record(plot_id, learned_id(plot_id)),
    )


def _facts(
    digest: Digest, house: HouseFacts, had: Remembered | None, news: frozenset[str]
) -> tuple[Facts, Mapping[str, Any]]:
    """Make the facts, and what they teach; only what new entries have a bearing on, if the rest is remembered."""
    if had is None:
        facts = facts_of(digest, house)
        return facts, taught(facts)
    moved = had.moved | news
    if not moved:
        return replace(had.facts, house=house), had.taught
    facts = facts_of(digest, house, had.facts, moved)
    return facts, taught(facts)


def _is_another_day(decided_at: datetime | None, now: datetime, digest: Digest) -> bool:
    zone = zone_of(digest.spot.time_zone)
    return decided_at is None or decided_at.astimezone(zone).date() != now.astimezone(zone).date()


def gather_as_of(plot_id: str, at: datetime, house: HouseFacts) -> Gathered:
    """Read the plot as it was known at a time, from all its records; what was observed later is left out."""
    known = summaries.read(plot_id, NAME)
    digest, news = _from_scratch(plot_id, known.seq, at, as_of=True)
    digests.forget(digest, at.astimezone(zone_of(digest.spot.time_zone)).date())
    facts = facts_of(digest, house)
    return Gathered(
        plot_id=plot_id,
        epoch=known.epoch,
        seq=known.seq,
        summary=known.summary,
        digest=digest,
        facts=facts,
        moved=False,
        read=news.total(),
        taught=taught(facts),
        learned=None,
    )


def _carried_on(plot_id: str, known: Reading, digest: Digest | None) -> tuple[Digest, Counter[str]] | None:
    """Bring the digest up to date; return it with the number of records taken in, by type."""
    body = known.summary.body
    if digest is None and body:
        digest = digests.from_json(body)
    if digest is None:
        return None
    news: Counter[str] = Counter()
    try:
        for page in summaries.changed_since(plot_id, known.summary.seq, known.seq):
            digests.take(digest, page)
            news.update(one["type"] for one in page)
    except TooOld:
        return None
    return digest, news


def _from_scratch(
    plot_id: str, until: int, now: datetime, *, as_of: bool = False
) -> tuple[Digest, Counter[str]]:
    """Make the digest from all records. The plot's own comes first: days depend on its time zone."""
    plot = summaries.record(plot_id, plot_id)
    digest = digests.begin(plot_id, (plot or {}).get("body") or {})
    today = now.astimezone(zone_of(digest.spot.time_zone)).date()
    news: Counter[str] = Counter()
    for page in summaries.changed_since(plot_id, 0, until):
        # A plot record that moved on since it was read above comes with the next pass.
        known = _known_by(page, now if as_of else None)
        digests.take(digest, (one for one in known if one["id"] != plot_id), today)
        news.update(one["type"] for one in page)
    return digest, news


def _known_by(records: Iterable[dict[str, Any]], at: datetime | None) -> Iterator[dict[str, Any]]:
    for record in records:
        if at is None or record.get("deleted"):
            yield record
        elif not _is_later(record["body"], _BEGINS, at):
            yield {**record, "body": _without_later(record["body"], at)}


def _without_later(body: dict[str, Any], at: datetime) -> dict[str, Any]:
    """A trap that still lay in the ground, a round under way, a warning that stood."""
    if body.get("set_at") and _is_later(body, ("observed_at",), at):
        return {name: body[name] for name in ("station_id", "set_at", "observer") if name in body}
    later = {name for name in ("finished_at", "ended_at") if body.get(name) and _is_later(body, (name,), at)}
    return {name: value for name, value in body.items() if name not in later} if later else body


def _is_later(body: Mapping[str, Any], names: Iterable[str], at: datetime) -> bool:
    for name in names:
        if body.get(name):
            return read_instant(body[name]) > at
    return False
