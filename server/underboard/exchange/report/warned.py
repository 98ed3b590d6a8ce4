"""Warnings in a report: what was warned of, what came, how good each rule has been, what to do and to change."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from underboard.core.agronomy.counts.proportion import proportion
from underboard.core.warnings.rules import ALL
from underboard.core.warnings.scoring import FEW, scores_of
from underboard.core.warnings.wording import sentences
from underboard.exchange.report.parts import Block, Grid, Words
from underboard.exchange.report.period import Looked
from underboard.exchange.report.slugs import spell_mean

_TITLES = {rule.name: rule.title for rule in ALL}
_CAME = {"happened": "it happened", "did_not_happen": "it did not happen", "not_known": "not known"}


def warnings_grid(looked: Looked) -> list[Block]:
    """The warnings raised in the period and what people said became of them."""
    tongue, say = looked.tongue, looked.tongue.say
    said: dict[str, str] = {}
    for reply in looked.holding.seen("warning_reply"):
        body = reply["body"]
        if body.get("outcome"):
            said[str(body.get("warning_id"))] = (
                say(_CAME[body["outcome"]]) if body["outcome"] in _CAME else ""
            )
    rows = tuple(
        (
            tongue.day(looked.day(one["body"]["raised_at"])),
            _title(looked, str(one["body"].get("rule"))),
            tongue.said(str(one["body"].get("headline") or "")),
            said.get(one["id"], say("nobody said")),
        )
        for one in looked.seen("warning", "raised_at")
    )
    heads = (say("Raised"), say("Rule"), say("What it said"), say("What came"))
    return [Grid(heads, rows)] if rows else [Words(say("None was raised."))]


def _title(looked: Looked, name: str) -> str:
    return looked.tongue.title(name, _TITLES.get(name, name))


def scores_grid(looked: Looked) -> list[Block]:
    """How good each rule has been on this plot up to the end of the period."""
    say = looked.tongue.say
    rows = []
    for name, score in scores_of(looked.facts).items():
        warned, came = score["hits"] + score["false_alarms"], score["hits"] + score["misses"]
        rows.append(
            (
                _title(looked, name),
                str(score["hits"]),
                str(score["misses"]),
                str(score["false_alarms"]),
                str(score["correct_negatives"]),
                _share(looked, score["hits"], came),
                _share(looked, score["false_alarms"], warned),
                ""
                if score["hits"] + score["misses"] + score["false_alarms"] >= FEW
                else say("too few to tell"),
            )
        )
    if not rows:
        return [
            Words(say("No rule could be judged yet: answer warnings in the app when you know what came."))
        ]
    heads = (
        say("Rule"), say("Came and warned of"), say("Came unwarned"), say("Warned for nothing"), say("Neither"),
        say("Of what came, warned of (95 %)"), say("Of warnings, for nothing (95 %)"), "",
    )  # fmt: skip
    return [Grid(heads, tuple(rows))]


def _share(looked: Looked, part: int, whole: int) -> str:
    if whole == 0:
        return ""
    found = proportion(part, whole)
    return looked.tongue.share(found.proportion, found.wilson_low, found.wilson_high)


def to_do(looked: Looked) -> list[Block]:
    """What warnings that stand at the end of the period commonly lead to."""
    blocks: list[Block] = []
    for one in looked.holding.of("warning"):
        body = one["body"]
        if _stands(looked, body):
            said = [looked.tongue.said(str(body.get(name) or "")) for name in ("headline", "advice")]
            blocks.append(Words(sentences(*said)))
            if body.get("caution"):
                blocks.append(Words(looked.tongue.said(str(body["caution"])), True))
    return blocks or [Words(looked.tongue.say("No warning stands."))]


def _stands(looked: Looked, body: Mapping[str, Any]) -> bool:
    begun = looked.day(body["raised_at"]) <= looked.last
    ended = body.get("ended_at") and looked.day(body["ended_at"]) <= looked.last
    over = body.get("window_end") and looked.day(body["window_end"]) <= looked.last
    return begun and not ended and not over


def to_change(looked: Looked) -> list[Block]:
    """What the season suggests to do otherwise next year, each with the number it rests on."""
    found = [*_rules(looked), *_boards(looked), *_controls(looked), *_gaps(looked)]
    return [Words(one) for one in found] or [
        Words(looked.tongue.say("The records suggest nothing to change."))
    ]


def _rules(looked: Looked) -> list[str]:
    say, words = looked.tongue.say, []
    for name, score in scores_of(looked.facts).items():
        title, hits, nothing, missed = (
            _title(looked, name),
            score["hits"],
            score["false_alarms"],
            score["misses"],
        )
        if hits + nothing + missed < FEW:
            continue
        if nothing > hits:
            words.append(
                say(
                    "{rule}: {warnings} for nothing and {hits} that came true. A higher threshold would warn less "
                    "often; try it with `underboard replay` before you change it.",
                    rule=title, warnings=looked.tongue.count(nothing, "warning"), hits=hits,
                )
            )  # fmt: skip
        if missed > hits:
            words.append(
                say(
                    "{rule}: {missed} came unwarned, {hits} were warned of. A lower threshold would warn more.",
                    rule=title,
                    missed=missed,
                    hits=hits,
                )
            )
    return words


def _boards(looked: Looked) -> list[str]:
    """Boards that could hardly ever be turned."""
    say = looked.tongue.say
    tried: dict[str, list[bool]] = {}
    for one in looked.seen("slug_count"):
        tried.setdefault(str(one["body"].get("station_id")), []).append(
            one["body"].get("state") in ("counted", "none_found")
        )
    bad = [
        say(
            "{board} ({n} of {of} times)",
            board=looked.holding.label(station),
            n=len(looks) - sum(looks),
            of=len(looks),
        )
        for station, looks in tried.items()
        if len(looks) >= FEW and sum(looks) < 0.7 * len(looks)
    ]
    return (
        [
            say(
                "Often not turned or spoiled: {boards}. A better spot would tell more.",
                boards=looked.tongue.listed(sorted(bad), 8),
            )
        ]
        if bad
        else []
    )


def _controls(looked: Looked) -> list[str]:
    bare = [one for one in looked.seen("treatment") if _needs_control(one["body"])]
    if not bare:
        return []
    return [
        looked.tongue.say(
            "{treatments} without an untreated place named beside it, so nobody can tell what it did. Leave one bed "
            "untreated next time.",
            treatments=looked.tongue.count(len(bare), "treatment"),
        )
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
            looked.tongue.say(
                "The longest time without a valid round was {n} days; slug pressure in between is not known.",
                n=max(gaps),
            )
        )
    spread = spell_mean([one.mean for one in looked.rounds if one.valid and one.mean is not None])
    if spread.n and not gaps:
        words.append(looked.tongue.say("One round alone shows no trend: walk more of them."))
    return words
