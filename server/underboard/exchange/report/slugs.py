"""Slugs in a report: every round with its interval, the beds, and the mean of a spell of weeks."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from underboard.core.findings.pressure import RoundPressure
from underboard.core.records.done import TREATMENT_KINDS
from underboard.exchange.report.chart import Point, Series, time_chart
from underboard.exchange.report.parts import Block, Grid, Picture, Words
from underboard.exchange.report.period import Looked
from underboard.exchange.report.tongue import Tongue

#: Fewer rounds than this say nothing of how rounds vary.
FEWEST_ROUNDS = 3
LEVEL = 0.95


@dataclass(frozen=True)
class Spell:
    """The mean of round means over a spell, with its t interval over rounds. Limits are None with too few rounds."""

    n: int
    mean: float | None
    low: float | None
    high: float | None


def spell_mean(values: Sequence[float]) -> Spell:
    """Return the mean of a spell's round means [slugs a board] with the 95 % t interval over rounds.

    The round is the unit: boards of one dawn share its weather, so that counting each board as a case of its own
    would make the interval too narrow. A lower limit below 0 is 0.
    """
    n = len(values)
    if n == 0:
        return Spell(0, None, None, None)
    mean = math.fsum(values) / n
    if n < FEWEST_ROUNDS:
        return Spell(n, mean, None, None)
    from scipy.special import stdtrit

    variance = math.fsum((value - mean) ** 2 for value in values) / (n - 1)
    half = float(stdtrit(n - 1, (1 + LEVEL) / 2)) * math.sqrt(variance / n)
    return Spell(n, mean, max(0.0, mean - half), mean + half)


def spell_words(spell: Spell, tongue: Tongue) -> str:
    """Say a spell: "3.4 slugs a board (95 % interval 2.1 to 5.6, 7 rounds)"."""
    if spell.mean is None:
        return tongue.say("no valid round")
    rounds = tongue.count(spell.n, "round")
    if spell.low is None:
        alone = "{mean} slugs a board ({rounds}, too few for an interval)"
        return tongue.say(alone, mean=tongue.amount(spell.mean), rounds=rounds)
    return tongue.say(
        "{mean} slugs a board (95 % interval {span}, {rounds})",
        mean=tongue.amount(spell.mean), span=tongue.span(spell.low, spell.high), rounds=rounds,
    )  # fmt: skip


def means_between(looked: Looked, first: date, last: date) -> list[float]:
    """Return the means of the valid rounds of some days, both included."""
    return [
        one.mean
        for one in looked.rounds
        if one.valid and one.mean is not None and first <= looked.day(one.observed_at) <= last
    ]


def compared(looked: Looked) -> Words:
    """Say the week beside the four weeks before it."""
    say = looked.tongue.say
    week = spell_mean(means_between(looked, looked.first, looked.last))
    before = spell_mean(
        means_between(looked, looked.first - timedelta(days=28), looked.first - timedelta(days=1))
    )
    if week.mean is None:
        return Words(
            say("No valid dawn round was walked, so nothing is known of slugs. That is not the same as none.")
        )
    said = say(
        "This week: {week}. The four weeks before: {before}.",
        week=spell_words(week, looked.tongue), before=spell_words(before, looked.tongue),
    )  # fmt: skip
    if week.low is None or before.low is None or before.high is None or week.high is None:
        return Words(f"{said} {say('That is too little to tell whether it changed.')}")
    if week.low > before.high:
        return Words(f"{said} {say('That is more than before, beyond what chance explains.')}")
    if week.high < before.low:
        return Words(f"{said} {say('That is less than before, beyond what chance explains.')}")
    return Words(f"{said} {say('The intervals overlap: no clear change.')}")


def rounds_grid(looked: Looked) -> list[Block]:
    """Every dawn round of the period with its interval, and what could not be looked at."""
    tongue, say = looked.tongue, looked.tongue.say
    rows = [
        (
            tongue.day(looked.day(one.observed_at)),
            str(one.n_boards),
            str(one.total),
            tongue.interval(one.mean, one.low, one.high),
            str(one.not_turned),
            str(one.spoiled),
            str(len(one.double_counts) + len(one.disputed)),
            _valid(one, tongue),
        )
        for one in looked.rounds
        if looked.first <= looked.day(one.observed_at) <= looked.last
    ]
    if not rows:
        return []
    heads = (
        say("Round"), say("Boards looked under"), say("Slugs"), say("Slugs a board, mean (95 %)"),
        say("Boards not turned"), say("Boards spoiled"), say("Boards disputed"), say("Valid"),
    )  # fmt: skip
    note = say("Boards not turned, spoiled or disputed are left out of means; a board with none counts as 0.")
    return [Grid(heads, tuple(rows)), Words(note)]


#: What the app itself writes down as a reason; anything else is a person's own words.
_OWN_REASONS = ("disturbed", "surface dry")


def _valid(one: RoundPressure, tongue: Tongue) -> str:
    if one.valid:
        return tongue.say("yes")
    reason = one.not_valid_reason or "no reason given"
    known = reason in (*_OWN_REASONS, "no reason given")
    return tongue.say("no: {why}", why=tongue.say(reason) if known else reason)


def slug_chart(looked: Looked, days: int) -> list[Block]:
    """The rounds of the last days as a picture, treatments marked."""
    tongue, say = looked.tongue, looked.tongue.say
    first = looked.last - timedelta(days=days - 1)
    points = tuple(
        Point(looked.day(one.observed_at), one.mean, one.low, one.high)
        for one in looked.rounds
        if one.valid and one.mean is not None and looked.day(one.observed_at) >= first
    )
    marks = [
        (looked.day(str(one["body"]["observed_at"])), kind_words(one["body"], tongue))
        for one in looked.holding.seen("treatment")
        if first <= looked.day(str(one["body"]["observed_at"])) <= looked.last
    ]
    unit = say("slugs a board")
    drawing = time_chart([Series(unit, points)], unit, marks=marks, tongue=tongue)
    if drawing is None:
        return []
    words = say(
        "Mean of each valid dawn round with its 95 % interval, slugs a board, {first} to {last}. Dashed lines are "
        "treatments; no line is drawn over more than 14 days without a round.",
        first=tongue.day(first), last=tongue.day(looked.last),
    )  # fmt: skip
    return [Picture(drawing, words)]


def places_grid(looked: Looked) -> list[Block]:
    """Beds by slugs a board, the worst first."""
    tongue, say = looked.tongue, looked.tongue.say
    by_place: dict[str, list[float]] = {}
    for one in looked.rounds:
        if one.valid and looked.first <= looked.day(one.observed_at) <= looked.last:
            for place, mean in one.by_place.items():
                by_place.setdefault(place, []).append(mean)
    spells = [
        (looked.holding.label(place) or say("no place given"), spell_mean(means))
        for place, means in by_place.items()
    ]
    spells.sort(key=lambda one: (-(one[1].mean or 0.0), one[0]))
    rows = tuple((label, str(one.n), tongue.interval(one.mean, one.low, one.high)) for label, one in spells)
    if not rows:
        return []
    words = Words(say("Where the intervals overlap, the order of the beds may be chance."))
    return [Grid((say("Place"), say("Rounds"), say("Slugs a board, mean of rounds (95 %)")), rows), words]


def months_grid(looked: Looked) -> list[Block]:
    """Each month of the period: rounds, boards, mean with interval, and the same month a year before."""
    tongue, say = looked.tongue, looked.tongue.say
    rows = []
    for month in range(1, 13):
        own, before = (_of_month(looked, looked.last.year - back, month) for back in (0, 1))
        if own or before:
            told = [
                spell_mean([one.mean for one in found if one.mean is not None]) for found in (own, before)
            ]
            rows.append(
                (
                    tongue.month(month),
                    str(len(own)),
                    str(sum(one.n_boards for one in own)),
                    tongue.interval(told[0].mean, told[0].low, told[0].high),
                    tongue.interval(told[1].mean, told[1].low, told[1].high),
                )
            )
    if not rows:
        return []
    heads = (
        say("Month"),
        say("Valid rounds"),
        say("Boards looked under"),
        say("Slugs a board (95 %)"),
        say("A year before (95 %)"),
    )
    return [Grid(heads, tuple(rows))]


def kind_words(treatment: Mapping[str, Any], tongue: Tongue) -> str:
    """Return the kind of a treatment in words."""
    kind = str(treatment.get("kind") or "").replace("_", " ")
    return tongue.say(kind) if treatment.get("kind") in TREATMENT_KINDS else kind


def _of_month(looked: Looked, year: int, month: int) -> list[RoundPressure]:
    days = [(one, looked.day(one.observed_at)) for one in looked.rounds if one.valid]
    return [one for one, day in days if (day.year, day.month) == (year, month)]
