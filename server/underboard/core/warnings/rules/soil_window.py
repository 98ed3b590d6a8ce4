"""Is the soil warm enough to sow or plant, and if not, about when will it be?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from underboard.core.agronomy.warmth.crops import LOWEST_SOIL_F, lowest_soil_c
from underboard.core.agronomy.warmth.soil_window import SoilWindow, soil_window
from underboard.core.warnings.crop_names import chosen_crops, done_this_year
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.plot_time import DAY, at_clock, today_of
from underboard.core.warnings.soil_seen import FILLED_DAYS, FRESH_DAYS, SoilDays, soil_days
from underboard.core.warnings.soil_trend import reached_words, warm_on
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import amount, day_words, month_words, sentences, times

NAME = "soil_window"
#: Warm soil is taken to stay warm for so long with nobody reading it (common practice, no source).
BELIEVED_DAYS = 21
#: Slower than this is no date to wait for.
SLOW_DAYS = 60


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer each chosen crop at each soil thermometer, until it is sown or the season is over."""
    today = today_of(facts, now)
    if today.month > settings["last_month"]:
        said = f"Sowing by soil warmth is told until {month_words(settings['last_month'])}."
        yield Held(rule=NAME, why_not=said)
        return
    crops, strange = chosen_crops(settings["crops"], LOWEST_SOIL_F)
    if not crops:
        yield Held(rule=NAME, why_not="No crop is chosen to watch the soil for.")
    for name in strange:
        yield Held(rule=NAME, why_not=f'No lowest soil temperature is published here for "{name}".')
    known = soil_days(facts, now, date(today.year, 1, 1))
    if not known:
        yield Held(rule=NAME, why_not="No soil thermometer has been read this year.")
    for soil in known:
        for crop in crops:
            yield _answer(facts, soil, crop, settings, today)


def _answer(facts: Facts, soil: SoilDays, crop: str, settings: Mapping[str, Any], today: date) -> Due | Held:
    key = f"{soil.place_id}:{crop}:{today.year}"
    covered = facts.places[soil.place_id].covered
    done = done_this_year(facts, crop, ("sown", "planted"), today, covered)
    if done is not None:
        return Held(rule=NAME, key=key, why_not=f"{crop.capitalize()} went in on {day_words(done)}.")
    days = settings["days"]
    begun = _open_since(soil, crop, days)
    if begun is not None and (today - soil.last).days <= BELIEVED_DAYS:
        return _due(facts, soil, crop, key, begun, settings)
    if (today - soil.last).days > FRESH_DAYS:
        said = (
            f"The soil thermometer at {facts.label(soil.place_id)} was last read on {day_words(soil.last)}."
        )
        return Held(rule=NAME, key=key, why_not=said)
    found = soil_window(crop, soil.window(soil.last, days), days)
    where = facts.label(soil.place_id)
    if found.open is None:
        unknown = (
            f"{where}: the last {days} days are not all known (gaps up to {FILLED_DAYS} days are filled in)"
        )
        return Held(rule=NAME, key=key, why_not=f"{unknown}; read the soil thermometer daily for {crop}.")
    return _not_yet(soil, crop, key, where, found, days)


def _open_since(soil: SoilDays, crop: str, days: int) -> date | None:
    """The day on which it became warm enough and has not been too cold since; None when it is not warm enough."""
    base, begun = lowest_soil_c(crop), None
    day, first = soil.last, min(soil.by_day)
    while day >= first:
        mean = soil.mean(day, days)
        if mean is not None and mean < base:
            break
        if mean is not None and soil_window(crop, soil.window(day, days), days).open:
            begun = day
        day -= DAY
    return begun


def _not_yet(soil: SoilDays, crop: str, key: str, where: str, found: SoilWindow, days: int) -> Held:
    mean, base = found.mean_c or 0.0, found.base_c
    until = warm_on(soil, base, mean)
    if mean >= base:
        said = (
            f"{where}: {mean:.1f} °C over {days} days is warm enough for {crop}, but the soil is not rising."
        )
    else:
        said = f"{where}: {mean:.1f} °C over {days} days; {crop} wants {base:.1f} °C. {reached_words(until)}"
    numbers = {"mean_c": mean, "needed_c": base, "days": days, **until.numbers()}
    return Held(rule=NAME, key=key, why_not=said, numbers=numbers)


def _due(facts: Facts, soil: SoilDays, crop: str, key: str, begun: date, settings: Mapping[str, Any]) -> Due:
    days = settings["days"]
    found = soil_window(crop, soil.window(begun, days), days)
    assert found.mean_c is not None
    where = facts.label(soil.place_id)
    n_read = sum(begun - n * DAY in soil.read for n in range(days))
    emerge = None
    if found.days_to_emerge is not None:
        emerge = f"At that warmth it comes up after about {times(round(found.days_to_emerge), 'day')}."
        if found.days_to_emerge > SLOW_DAYS:
            emerge = "It is warm enough only just: seed comes up very slowly and may rot."
    month = settings["last_month"]
    return Due(
        rule=NAME,
        key=key,
        window_start=at_clock(facts, begun),
        window_end=at_clock(facts, date(begun.year + month // 12, month % 12 + 1, 1)),
        severity="Minor",
        urgency="Expected",
        certainty="Observed" if n_read == days else "Likely",
        headline=(
            f"The soil at {where} is warm enough for {crop} since {day_words(begun)}: {found.mean_c:.1f} °C over "
            f"{days} days, at least {found.base_c:.1f} °C is wanted."
        ),
        why=sentences(
            f"Read on {n_read} of the {days} days"
            + (", the others filled in between readings." if n_read < days else "."),
            "It was rising, as potatoes want." if crop == "potato" else None,
            emerge,
            f"Thermometer at {amount(100 * soil.depth_m)} cm." if soil.depth_m else None,
        ),
        advice="Commonly: sow or plant in the next dry days, when the soil crumbles in the hand.",
        caution="A late cold spell can close the window again, and frost can still come: look at the forecast.",
        numbers={
            "crop": crop,
            "mean_c": found.mean_c,
            "needed_c": found.base_c,
            "since": begun.isoformat(),
            "days": days,
            "days_read": n_read,
            "days_to_emerge": found.days_to_emerge,
        },
        place_ids=(soil.place_id,),
        station_ids=(soil.station_id,),
    )


RULE = Rule(
    name=NAME,
    title="Soil warm enough",
    question="Is the soil warm enough to sow or plant, and about when will it be?",
    group="ground",
    source="Oregon State University extension, after Harrington & Minges 1954; potato 45 °F second hand",
    run=run,
    settings=(
        Setting(
            name="crops",
            kind="text",
            default="potato, carrot, bean",
            doc=f"Crops to watch the soil for, with commas between: {', '.join(LOWEST_SOIL_F)}.",
        ),
        Setting(
            name="days",
            kind="whole",
            default=5,
            unit="days",
            low=2,
            high=14,
            doc="Days whose mean counts (several days: common practice, no source).",
        ),
        Setting(
            name="last_month",
            kind="whole",
            default=6,
            low=1,
            high=12,
            doc="Last month in which it is told (common practice, no source).",
        ),
    ),
)
