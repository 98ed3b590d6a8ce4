"""Has a round been left out?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any

from underboard.core.agronomy.contract import COMMON_PRACTICE
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.plot_time import DAY, at_clock, today_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words, listed, times

NAME = "round_missed"
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
#: A habit is looked for in so many weeks; a weekday belongs to it when it was walked in three of four.
WEEKS, OFTEN = 8, 0.75
#: Gaps that a habit without fixed weekdays is learned from, and the fewest of them.
GAPS, FEWEST = 20, 5
#: A dawn round that is not there by noon is not coming.
NOON = 12
#: After so long without any round nobody is walking, and the reminder has had its say.
GIVEN_UP = timedelta(days=14)


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer when a round was usual, or agreed, and nobody walked."""
    today = today_of(facts, now)
    first, last = settings["first_month"], settings["last_month"]
    if not _within(today.month, first, last):
        yield Held(rule=NAME, why_not="No rounds are expected at this time of the year.")
        return
    days = sorted({one.day for one in facts.rounds if one.at <= now})
    if not days:
        yield Held(rule=NAME, why_not="No round has been walked yet.")
        return
    found = _expected(days, settings["every_days"])
    if found is None:
        yield Held(
            rule=NAME, why_not=f"{times(len(days), 'round')} so far: too few to know when one is usual."
        )
        return
    missed_on, habit = found
    begins = at_clock(facts, missed_on, NOON)
    if now < begins:
        yield Held(rule=NAME, why_not=f"The last round was on {day_words(days[-1])}; {habit}.")
    elif now >= begins + GIVEN_UP:
        yield Held(rule=NAME, why_not=f"No round since {day_words(days[-1])}; the reminder has had its say.")
    else:
        yield Due(
            rule=NAME,
            key=missed_on.isoformat(),
            window_start=begins,
            window_end=begins + GIVEN_UP,
            severity="Minor",
            urgency="Expected",
            certainty="Likely",
            headline=f"No round was walked on {day_words(missed_on)}; the last was on {day_words(days[-1])}.",
            why=f"Reckoned from the plot's own rounds: {habit}.",
            advice="Walk the next moist, mild morning: a gap makes a rise harder to see.",
            caution="Boards at dawn: gloves, wash hands, and mind wet planks and ice.",
            numbers={"last_round_on": days[-1].isoformat(), "missed_on": missed_on.isoformat()},
            loud=False,
        )


def _within(month: int, first: int, last: int) -> bool:
    return first <= month <= last if first <= last else month >= first or month <= last


def _expected(days: Sequence[date], every_days: int) -> tuple[date, str] | None:
    """The first day after the last round on which one was to be walked, and the habit in words."""
    last = days[-1]
    if every_days:
        return last + every_days * DAY, f"a round is agreed for every {times(every_days, 'day')}"
    usual = _weekdays(days)
    if usual:
        ahead = next(last + n * DAY for n in range(1, 8) if (last + n * DAY).weekday() in usual)
        return ahead, f"a round is usual on {listed([_WEEKDAYS[one] for one in sorted(usual)], 7)}"
    gaps = [(later - earlier).days for earlier, later in pairwise(days)][-GAPS:]
    if len(gaps) < FEWEST:
        return None
    longest = max(gaps)
    return last + (longest + 1) * DAY, f"the longest gap of the last {len(gaps)} was {times(longest, 'day')}"


def _weekdays(days: Sequence[date]) -> set[int]:
    """Weekdays on which rounds were usual up to the last one, when nearly all rounds fall on such days."""
    begin = days[-1] - WEEKS * 7 * DAY
    if days[0] > begin + 7 * DAY:
        return set()
    counted = Counter(day.weekday() for day in days if day > begin)
    usual = {weekday for weekday, n in counted.items() if n >= OFTEN * WEEKS}
    return usual if sum(counted[one] for one in usual) >= OFTEN * counted.total() else set()


RULE = Rule(
    name=NAME,
    title="Round missed",
    question="Has a usual round been left out?",
    group="house",
    source=COMMON_PRACTICE,
    run=run,
    settings=(
        Setting(
            name="every_days",
            kind="whole",
            default=0,
            unit="days",
            low=0,
            high=60,
            doc="A round is agreed for every so many days; 0 learns it from the plot's own rounds.",
        ),
        Setting(
            name="first_month",
            kind="whole",
            default=3,
            low=1,
            high=12,
            doc="First month in which rounds are expected (common practice, no source).",
        ),
        Setting(
            name="last_month",
            kind="whole",
            default=10,
            low=1,
            high=12,
            doc="Last month in which rounds are expected (common practice, no source).",
        ),
    ),
)
