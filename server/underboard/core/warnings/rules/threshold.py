"""Are there more slugs a board than the person will stand?"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import datetime
from statistics import NormalDist
from typing import Any

from underboard.core.agronomy.counts.count_summary import mean_with_limits
from underboard.core.agronomy.counts.poisson_interval import garwood
from underboard.core.warnings.boards_seen import valid_rounds
from underboard.core.warnings.episode import lasting_key
from underboard.core.warnings.facts import Facts, RoundFact
from underboard.core.warnings.plot_time import DAY, at_clock, end_of, today_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import amount, day_words, percent, sentences, span, times

NAME = "threshold"
#: A handful of boards cannot show how slugs clump; up to here the exact Poisson interval stands.
FEWEST_BOARDS = 6
CONTEXT = (
    "Published for comparison only: 4 or more a baited 25 cm trap in winter wheat, 1 in oilseed rape stubble "
    "(AHDB; HGCA Topic Sheet 84). Those are baited traps in fields; a board without bait has another size and "
    "catch, so its number is not theirs. No threshold is published for vegetable plots."
)


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer when the mean a board is above the person's own threshold likely enough."""
    threshold = settings["mean_per_board"]
    rounds = valid_rounds(facts, now, 1)
    if threshold is None:
        yield Held(rule=NAME, why_not="No threshold is set: say how many slugs a board you will stand.")
        return
    if not rounds:
        yield Held(rule=NAME, why_not="There is no valid round yet.")
        return
    newest = rounds[-1]
    if (today_of(facts, now) - newest.day).days > settings["current_days"]:
        said = f"The last valid round was on {day_words(newest.day)}, too long ago to speak of now."
        yield Held(rule=NAME, why_not=said)
        return
    counts = sorted(board.high for board in newest.boards.values())
    mean, low, high, clumped = _mean(counts)
    chance = chance_above(threshold, mean, low, high)
    numbers = {
        "round_id": newest.id,
        "round_on": newest.day.isoformat(),
        "boards": len(counts),
        "mean_per_board": mean,
        "mean_per_board_low": low,
        "mean_per_board_high": high,
        "threshold_per_board": threshold,
        "chance_above": chance,
    }
    if 100 * chance < settings["chance_percent"]:
        said = (
            f"{amount(mean)} a board on {day_words(newest.day)} ({span(low, high)}); the chance that the true "
            f"mean is above {amount(threshold)} is {percent(chance)}."
        )
        yield Held(rule=NAME, why_not=said, numbers=numbers)
        return
    yield _due(facts, settings, newest, numbers, clumped, now)


def _due(
    facts: Facts,
    settings: Mapping[str, Any],
    newest: RoundFact,
    numbers: Mapping[str, Any],
    clumped: bool,
    now: datetime,
) -> Due:
    key, begun = lasting_key(facts, NAME, "plot", newest.day, now)
    n, threshold = numbers["boards"], numbers["threshold_per_board"]
    disputed = sum(board.disputed for board in newest.boards.values())
    interval = span(numbers["mean_per_board_low"], numbers["mean_per_board_high"])
    return Due(
        rule=NAME,
        key=key,
        window_start=at_clock(facts, begun),
        window_end=end_of(facts, newest.day + settings["current_days"] * DAY),
        severity="Moderate",
        urgency="Expected",
        certainty="Likely" if numbers["chance_above"] >= 0.9 else "Possible",
        headline=(
            f"{amount(numbers['mean_per_board'])} slugs a board on {day_words(newest.day)} "
            f"(95 % interval {interval}): your threshold of {amount(threshold)} is passed, "
            f"likely with a chance of {percent(numbers['chance_above'])}."
        ),
        why=sentences(
            f"Mean of {times(n, 'board')}; a single board says much less.",
            "Slugs clump, and the interval allows for it." if clumped else None,
            f"Above your threshold since {day_words(begun)}." if begun < newest.day else None,
            f"{times(disputed, 'board')} with two numbers taken at the higher one." if disputed else None,
            CONTEXT,
        ),
        advice="Growers commonly hold back planting out, hand-pick at dusk, or treat what they meant to treat.",
        caution=sentences(
            "Only few boards: the interval does not allow for clumping and is too narrow."
            if n < FEWEST_BOARDS
            else None,
            "Gloves, and wash hands. Follow the label of anything you put down; keep children and dogs away.",
        ),
        numbers=numbers,
    )


def _mean(counts: list[int]) -> tuple[float, float, float | None, bool]:
    """Mean a board with 95 % limits, and whether they allow for clumping."""
    if len(counts) >= FEWEST_BOARDS:
        found = mean_with_limits(counts)
        return found.mean, found.low, found.high, found.clumped
    low, high = garwood(sum(counts), 0.95)
    n = len(counts)
    return sum(counts) / n, low / n, high / n, False


def chance_above(threshold: float, mean: float, low: float, high: float | None) -> float:
    """Return the chance that the true mean is above a threshold, read off its 95 % interval.

    The interval is taken as one of a normal law of the log mean, each side with a width of its own; none seen
    gives 0.
    """
    if mean <= 0:
        return 0.0
    edge = low if threshold < mean else high
    if edge is None or edge <= 0:
        # An open end is a width without bound, with which the chance comes near a half from the side of the mean.
        return 0.5 if threshold <= mean else math.nextafter(0.5, 0.0)
    width = abs(math.log(edge / mean)) / NormalDist().inv_cdf(0.975)
    return NormalDist().cdf(math.log(mean / threshold) / width) if width > 0 else float(mean > threshold)


RULE = Rule(
    name=NAME,
    title="Slugs above your threshold",
    question="Is the mean a board above what I will stand?",
    group="pests",
    source="threshold: your own; mean: Anscombe 1950, Biometrika 37:358, Garwood 1936, Biometrika 28:437",
    run=run,
    settings=(
        Setting(
            name="mean_per_board",
            kind="number",
            default=None,
            unit="slugs a board",
            low=0.1,
            high=1000,
            doc="Your own threshold for the mean of all boards of a round; without one the rule is silent.",
        ),
        Setting(
            name="chance_percent",
            kind="number",
            default=50.0,
            unit="%",
            low=5,
            high=99,
            doc="How likely it must be that the true mean is above the threshold (50: as soon as the mean is).",
        ),
        Setting(
            name="current_days",
            kind="whole",
            default=10,
            unit="days",
            low=2,
            high=30,
            doc="A round older than this is no longer news (common practice, no source).",
        ),
    ),
)
