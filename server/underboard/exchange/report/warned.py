"""Warnings in a report: what was warned of, what came, how good each rule has been, what to do and to change."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from underboard.core.agronomy.counts.proportion import proportion
from underboard.core.warnings.rules import ALL
from underboard.core.warnings.scoring import FEW, scores_of
from underboard.core.warnings.wording import day_words, listed, percent, times
from underboard.exchange.report.parts import Block, Grid, Words
from underboard.exchange.report.period import Looked
from underboard.exchange.report.slugs import spell_mean

_TITLES = {rule.name: rule.title for rule in ALL}
_CAME = {"happened": "it happened", "did_not_happen": "it did not happen", "not_known": "not known"}


def warnings_grid(looked: Looked) -> list[Block]:
    """The warnings raised in the period and what people said became of them."""
    said: dict[str, str] = {}
    for reply in looked.holding.seen("warning_reply"):
        body = reply["body"]
        if body.get("outcome"):
            said[str(body.get("warning_id"))] = _CAME.get(body["outcome"], "")
    rows = tuple(
        (
            day_words(looked.day(one["body"]["raised_at"])),
            _TITLES.get(one["body"].get("rule"), str(one["body"].get("rule"))),
            str(one["body"].get("headline") or ""),
            said.get(one["id"], "nobody said"),
        )
        for one in looked.seen("warning", "raised_at")
    )
    return (
        [Grid(("Raised", "Rule", "What it said", "What came"), rows)] if rows else [Words("None was raised.")]
    )


def scores_grid(looked: Looked) -> list[Block]:
    """How good each rule has been on this plot up to the end of the period."""
    rows = []
    for name, score in scores_of(looked.facts).items():
        warned, came = score["hits"] + score["false_alarms"], score["hits"] + score["misses"]
        rows.append(
            (
                _TITLES.get(name, name),
                str(score["hits"]),
                str(score["misses"]),
                str(score["false_alarms"]),
                str(score["correct_negatives"]),
                _share(score["hits"], came),
                _share(score["false_alarms"], warned),
                "" if score["hits"] + score["misses"] + score["false_alarms"] >= FEW else "too few to tell",
            )
        )
    if not rows:
        return [Words("No rule could be judged yet: answer warnings in the app when you know what came.")]
    heads = (
        "Rule", "Came and warned of", "Came unwarned", "Warned for nothing", "Neither",
        "Of what came, warned of (95 %)", "Of warnings, for nothing (95 %)", "",
    )  # fmt: skip
    return [Grid(heads, tuple(rows))]


def _share(part: int, whole: int) -> str:
    if whole == 0:
        return ""
    found = proportion(part, whole)
    return f"{percent(found.proportion)} ({percent(found.wilson_low)} to {percent(found.wilson_high)})"


def to_do(looked: Looked) -> list[Block]:
    """What warnings that stand at the end of the period commonly lead to."""
    blocks: list[Block] = []
    for one in looked.holding.of("warning"):
        body = one["body"]
        if _stands(looked, body):
            blocks.append(
                Words(" ".join(str(body[name]) for name in ("headline", "advice") if body.get(name)))
            )
            if body.get("caution"):
                blocks.append(Words(str(body["caution"]), True))
    return blocks or [Words("No warning stands.")]


def _stands(looked: Looked, body: Mapping[str, Any]) -> bool:
    begun = looked.day(body["raised_at"]) <= looked.last
    ended = body.get("ended_at") and looked.day(body["ended_at"]) <= looked.last
    over = body.get("window_end") and looked.day(body["window_end"]) <= looked.last
    return begun and not ended and not over


def to_change(looked: Looked) -> list[Block]:
    """What the season suggests to do otherwise next year, each with the number it rests on."""
    found = [*_rules(looked), *_boards(looked), *_controls(looked), *_gaps(looked)]
    return [Words(one) for one in found] or [Words("The records suggest nothing to change.")]


def _rules(looked: Looked) -> list[str]:
    words = []
    for name, score in scores_of(looked.facts).items():
        title, hits, nothing, missed = (
            _TITLES.get(name, name),
            score["hits"],
            score["false_alarms"],
            score["misses"],
        )
        if hits + nothing + missed < FEW:
            continue
        if nothing > hits:
            words.append(
                f"{title}: {times(nothing, 'warning')} for nothing and {hits} that came true. A higher threshold would "
                "warn less often; try it with `underboard replay` before you change it."
            )
        if missed > hits:
            words.append(
                f"{title}: {missed} came unwarned, {hits} were warned of. A lower threshold would warn more."
            )
    return words


def _boards(looked: Looked) -> list[str]:
    """Boards that could hardly ever be turned."""
    tried: dict[str, list[bool]] = {}
    for one in looked.seen("slug_count"):
        tried.setdefault(str(one["body"].get("station_id")), []).append(
            one["body"].get("state") in ("counted", "none_found")
        )
    bad = [
        f"{looked.holding.label(station)} ({len(looks) - sum(looks)} of {len(looks)} times)"
        for station, looks in tried.items()
        if len(looks) >= FEW and sum(looks) < 0.7 * len(looks)
    ]
    return (
        [f"Often not turned or spoiled: {listed(sorted(bad), 8)}. A better spot would tell more."]
        if bad
        else []
    )


def _controls(looked: Looked) -> list[str]:
    bare = [one for one in looked.seen("treatment") if _needs_control(one["body"])]
    if not bare:
        return []
    return [
        f"{times(len(bare), 'treatment')} had no untreated place named beside it, so nobody can tell what it did. "
        "Leave one bed untreated next time."
    ]


def _needs_control(body: Mapping[str, Any]) -> bool:
    return body.get("kind") in ("nematodes", "brew", "pellets") and not body.get("control_place_ids")


def _gaps(looked: Looked) -> list[str]:
    days = sorted({looked.day(one.observed_at) for one in looked.rounds if one.valid})
    days = [day for day in days if looked.first <= day <= looked.last]
    gaps = [(b - a).days for a, b in pairwise(days)]
    words = []
    if gaps and max(gaps) > 14:
        words.append(
            f"The longest time without a valid round was {max(gaps)} days; slug pressure in between is not known."
        )
    spread = spell_mean([one.mean for one in looked.rounds if one.valid and one.mean is not None])
    if spread.n and not gaps:
        words.append("One round alone shows no trend: walk more of them.")
    return words
