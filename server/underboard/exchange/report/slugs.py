"""Slugs in a report: every round with its interval, the beds, and the mean of a spell of weeks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from underboard.core.findings.pressure import RoundPressure
from underboard.core.warnings.wording import amount, day_words, month_words, span, times
from underboard.exchange.report.chart import Point, Series, time_chart, with_interval
from underboard.exchange.report.parts import Block, Grid, Picture, Words
from underboard.exchange.report.period import Looked

#: Fewer rounds than this say nothing of how rounds vary.
FEWEST_ROUNDS = 3
LEVEL = 0.95
UNIT = "slugs a board"


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


def spell_words(spell: Spell) -> str:
    """Say a spell: "3.4 slugs a board (95 % interval 2.1 to 5.6, 7 rounds)"."""
    if spell.mean is None:
        return "no valid round"
    if spell.low is None:
        return f"{amount(spell.mean)} {UNIT} ({times(spell.n, 'round')}, too few for an interval)"
    return f"{amount(spell.mean)} {UNIT} (95 % interval {span(spell.low, spell.high)}, {times(spell.n, 'round')})"


def means_between(looked: Looked, first: date, last: date) -> list[float]:
    """Return the means of the valid rounds of some days, both included."""
    return [
        one.mean
        for one in looked.rounds
        if one.valid and one.mean is not None and first <= looked.day(one.observed_at) <= last
    ]


def compared(looked: Looked) -> Words:
    """Say the week beside the four weeks before it."""
    week = spell_mean(means_between(looked, looked.first, looked.last))
    before = spell_mean(
        means_between(looked, looked.first - timedelta(days=28), looked.first - timedelta(days=1))
    )
    if week.mean is None:
        return Words(
            "No valid dawn round was walked, so nothing is known of slugs. That is not the same as none."
        )
    said = f"This week: {spell_words(week)}. The four weeks before: {spell_words(before)}."
    if week.low is None or before.low is None or before.high is None or week.high is None:
        return Words(f"{said} That is too little to tell whether it changed.")
    if week.low > before.high:
        return Words(f"{said} That is more than before, beyond what chance explains.")
    if week.high < before.low:
        return Words(f"{said} That is less than before, beyond what chance explains.")
    return Words(f"{said} The intervals overlap: no clear change.")


def rounds_grid(looked: Looked) -> list[Block]:
    """Every dawn round of the period with its interval, and what could not be looked at."""
    rows = [
        (
            day_words(looked.day(one.observed_at)),
            str(one.n_boards),
            str(one.total),
            with_interval(one.mean, one.low, one.high),
            str(one.not_turned),
            str(one.spoiled),
            str(len(one.double_counts) + len(one.disputed)),
            _valid(one),
        )
        for one in looked.rounds
        if looked.first <= looked.day(one.observed_at) <= looked.last
    ]
    if not rows:
        return []
    heads = (
        "Round", "Boards looked under", "Slugs", f"{UNIT.capitalize()}, mean (95 %)", "Boards not turned",
        "Boards spoiled", "Boards disputed", "Valid",
    )  # fmt: skip
    note = "Boards not turned, spoiled or disputed are left out of means; a board with none counts as 0."
    return [Grid(heads, tuple(rows)), Words(note)]


def _valid(one: RoundPressure) -> str:
    return "yes" if one.valid else f"no: {one.not_valid_reason or 'no reason given'}"


def slug_chart(looked: Looked, days: int) -> list[Block]:
    """The rounds of the last days as a picture, treatments marked."""
    first = looked.last - timedelta(days=days - 1)
    points = tuple(
        Point(looked.day(one.observed_at), one.mean, one.low, one.high)
        for one in looked.rounds
        if one.valid and one.mean is not None and looked.day(one.observed_at) >= first
    )
    marks = [
        (looked.day(str(one["body"]["observed_at"])), str(one["body"].get("kind") or "").replace("_", " "))
        for one in looked.holding.seen("treatment")
        if first <= looked.day(str(one["body"]["observed_at"])) <= looked.last
    ]
    drawing = time_chart([Series(UNIT, points)], UNIT, marks=marks)
    if drawing is None:
        return []
    words = (
        f"Mean of each valid dawn round with its 95 % interval, {UNIT}, "
        f"{day_words(first)} to {day_words(looked.last)}. "
        "Dashed lines are treatments; no line is drawn over more than 14 days without a round."
    )
    return [Picture(drawing, words)]


def places_grid(looked: Looked) -> list[Block]:
    """Beds by slugs a board, the worst first."""
    by_place: dict[str, list[float]] = {}
    for one in looked.rounds:
        if one.valid and looked.first <= looked.day(one.observed_at) <= looked.last:
            for place, mean in one.by_place.items():
                by_place.setdefault(place, []).append(mean)
    spells = [
        (looked.holding.label(place) or "no place given", spell_mean(means))
        for place, means in by_place.items()
    ]
    spells.sort(key=lambda one: (-(one[1].mean or 0.0), one[0]))
    rows = tuple((label, str(one.n), with_interval(one.mean, one.low, one.high)) for label, one in spells)
    if not rows:
        return []
    words = Words("Where the intervals overlap, the order of the beds may be chance.")
    return [Grid(("Place", "Rounds", f"{UNIT.capitalize()}, mean of rounds (95 %)"), rows), words]


def months_grid(looked: Looked) -> list[Block]:
    """Each month of the period: rounds, boards, mean with interval, and the same month a year before."""
    rows = []
    for month in range(1, 13):
        own, before = (_of_month(looked, looked.last.year - back, month) for back in (0, 1))
        if own or before:
            told = [
                spell_mean([one.mean for one in found if one.mean is not None]) for found in (own, before)
            ]
            rows.append(
                (
                    month_words(month),
                    str(len(own)),
                    str(sum(one.n_boards for one in own)),
                    with_interval(told[0].mean, told[0].low, told[0].high),
                    with_interval(told[1].mean, told[1].low, told[1].high),
                )
            )
    if not rows:
        return []
    heads = (
        "Month",
        "Valid rounds",
        "Boards looked under",
        f"{UNIT.capitalize()} (95 %)",
        "A year before (95 %)",
    )
    return [Grid(heads, tuple(rows))]


def _of_month(looked: Looked, year: int, month: int) -> list[RoundPressure]:
    days = [(one, looked.day(one.observed_at)) for one in looked.rounds if one.valid]
    return [one for one, day in days if (day.year, day.month) == (year, month)]
