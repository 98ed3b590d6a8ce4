"""How likely is a frost after the day on which tender plants are to go out?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.agronomy.frost.last_frost import LastFrost, last_frost
from underboard.core.warnings.facts import CropFact, Facts
from underboard.core.warnings.own_minima import open_air_minima
from underboard.core.warnings.plot_time import DAY, at_clock, end_of, today_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words, listed, percent, sentences, times

NAME = "plant_out"
#: A spring counts when so many of its nights, 1 April to 15 June, were read.
FEWEST_NIGHTS = 25
_SPRING = ((4, 1), (6, 15))
#: Frosts of the first half of the year are last frosts of spring.
_MIDSUMMER = (6, 30)
#: Days of hardening off (7 to 10: common practice, no source).
HARDENING = timedelta(days=7)


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer the risk of a frost after the chosen day, from the plot's own springs, once a year."""
    today = today_of(facts, now)
    out_on = _chosen_day(settings["plant_out_on"], today.year)
    if out_on is None:
        yield Held(
            rule=NAME, why_not=f'"{settings["plant_out_on"]}" is no day of the year; write 05-20 for 20 May.'
        )
        return
    begins, ends = out_on - settings["days_before"] * DAY, out_on + 14 * DAY
    if not begins <= today <= ends:
        yield Held(
            rule=NAME, why_not=f"Told from {day_words(begins)} to {day_words(ends)}, around planting out."
        )
        return
    springs = _springs(facts, today)
    if len(springs) < settings["fewest_springs"]:
        need = f"{settings['fewest_springs']} with enough nights are needed"
        yield Held(
            rule=NAME,
            why_not=f"{times(len(springs), 'spring')} of the plot's own minima so far; {need} to speak of a risk.",
            numbers={"springs": len(springs)},
        )
        return
    by_day = float(out_on.timetuple().tm_yday)
    found = last_frost([springs[year] for year in sorted(springs)], by_day=by_day)
    yield _due(facts, settings, found, out_on, (begins, ends), today)


def _chosen_day(text: str, year: int) -> date | None:
    try:
        month, day = (int(part) for part in text.split("-"))
        return date(year, month, day)
    except ValueError:
        return None


def _springs(facts: Facts, today: date) -> dict[int, float | None]:
    """The last frost of each past spring [day of year], None for one without; springs with gaps left out."""
    nights: dict[int, dict[date, float]] = defaultdict(dict)
    for night, low in open_air_minima(facts).items():
        morning = night + DAY
        if morning.year < today.year and (morning.month, morning.day) <= _MIDSUMMER:
            nights[morning.year][morning] = low
    found: dict[int, float | None] = {}
    for year, lows in nights.items():
        read = sum(_SPRING[0] <= (day.month, day.day) <= _SPRING[1] for day in lows)
        if read >= FEWEST_NIGHTS:
            frosts = [day for day, low in lows.items() if low < 0.0]
            found[year] = float(max(frosts).timetuple().tm_yday) if frosts else None
    return found


def _due(
    facts: Facts,
    settings: Mapping[str, Any],
    found: LastFrost,
    out_on: date,
    window: tuple[date, date],
    today: date,
) -> Due:
    p, low, high = found.p_after or 0.0, found.p_after_low or 0.0, found.p_after_high or 1.0
    late = round(p * found.n)
    risky = 100 * p > settings["risk_percent"]
    waiting = [crop for crop in facts.crops if _waits(crop, today)]
    sure = None
    if found.empirical_day is not None:
        day = date(out_on.year, 1, 1) + (round(found.empirical_day) - 1) * DAY
        sure = f"In nine of ten springs the last one was over by about {day_words(day)}."
    fresh = [
        crop.kind for crop in waiting if (since := _hardened(crop)) is None or out_on - since < HARDENING
    ]
    return Due(
        rule=NAME,
        key=str(out_on.year),
        window_start=at_clock(facts, window[0]),
        window_end=end_of(facts, window[1]),
        severity="Moderate" if risky else "Minor",
        urgency="Future",
        certainty="Possible" if risky else "Unlikely",
        headline=(
            f"Planting out on {day_words(out_on)}: a frost came later in {late} of your {found.n} springs "
            f"({percent(p)}, 95 % interval {percent(low)} to {percent(high)})."
        ),
        why=sentences(
            "Lowest air temperature below 0 °C at the plot's own open-air thermometer, by the morning it came.",
            f"{times(found.n_without, 'spring')} had none." if found.n_without else None,
            sure,
            f"Waiting to go out: {listed(sorted({crop.kind for crop in waiting}))}." if waiting else None,
            f"Not hardened off for a week by then: {listed(sorted(set(fresh)))}." if fresh else None,
        ),
        advice=(
            "Commonly: harden off for 7 to 10 days, keep fleece ready for two weeks after planting out, and hold "
            "some plants back."
        ),
        caution="Nights that nobody read may have had a frost. A spring is not the mean of springs: watch the nights.",
        numbers={
            "plant_out_on": out_on.isoformat(),
            "springs": found.n,
            "springs_with_later_frost": late,
            "risk": p,
            "risk_low": low,
            "risk_high": high,
            "last_frost_day_nine_of_ten": found.empirical_day,
        },
        crop_ids=tuple(sorted(crop.id for crop in waiting)),
        loud=risky,
    )


def _waits(crop: CropFact, today: date) -> bool:
    """A tender crop that was raised this year and has not been planted out."""
    row = crop_damage(crop.kind)
    done = {what for on, what, _, _ in crop.events if on <= today and on.year == today.year}
    return row.raised_indoors and bool(done & {"sown", "potted", "hardened"}) and "planted" not in done


def _hardened(crop: CropFact) -> date | None:
    return min((on for on, what, _, _ in crop.events if what == "hardened"), default=None)


RULE = Rule(
    name=NAME,
    title="Plant-out risk",
    question="How likely is a frost after the day on which tender plants go out?",
    group="ground",
    source="NOAA freeze/frost probabilities (mixed distribution); Wilson 1927, J. Am. Stat. Assoc. 22:209",
    run=run,
    settings=(
        Setting(
            name="plant_out_on",
            kind="text",
            default="05-20",
            doc="The day you mean to plant out, month and day: 05-20 is 20 May (common practice, no source).",
        ),
        Setting(
            name="days_before",
            kind="whole",
            default=21,
            unit="days",
            low=3,
            high=90,
            doc="Say so this many days before.",
        ),
        Setting(
            name="risk_percent",
            kind="number",
            default=10.0,
            unit="%",
            low=1,
            high=90,
            doc="Above this risk it sounds; below it stands in the app alone (common practice, no source).",
        ),
        Setting(
            name="fewest_springs",
            kind="whole",
            default=5,
            unit="springs",
            low=3,
            high=30,
            doc="Own springs that are needed; 20 to 30 are customary for such a figure (NOAA).",
        ),
    ),
)
