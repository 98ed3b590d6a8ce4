"""The three reports: a week, a season, the products used."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from underboard.core.units import temperature_c
from underboard.core.warnings.timing import zone_of
from underboard.core.warnings.wording import day_words
from underboard.exchange.holding import Holding
from underboard.exchange.report.chart import Point, Series, time_chart
from underboard.exchange.report.parts import Block, Grid, Picture, Report, Section, Words
from underboard.exchange.report.period import Looked
from underboard.exchange.report.slugs import compared, months_grid, places_grid, rounds_grid, slug_chart
from underboard.exchange.report.warned import scores_grid, to_change, to_do, warnings_grid
from underboard.exchange.report.work import beds, harvest_grid, product_grid, traps_grid, treatments_grid

_ALWAYS: Final = (
    "Wear gloves for slugs, slime and brews, and wash your hands; keep children and dogs away from both. Follow the "
    "label, local law and licensed advice; this report replaces none of them."
)
_BREW: Final = (
    "A home brew is unidentified and unproven: never on leaves that will be eaten, never to be sold or passed on; "
    "releasing animals that are not native needs a licence in England and Wales."
)
_PELLETS: Final = "Slug pellets with metaldehyde may not be sold or used in Great Britain since 2022."
_COVERS: Final = "Covers, heaters and paraffin in tunnels bring fire and carbon monoxide."


def week(holding: Holding, last: date, now: datetime) -> Report:
    """The seven days up to `last`."""
    looked = Looked(holding, last - timedelta(days=6), last, now)
    slugs = (compared(looked), *slug_chart(looked, 56), *rounds_grid(looked), *places_grid(looked))
    return _report(
        looked,
        "The week",
        (
            Section("Slugs", slugs),
            Section("Temperatures", tuple(_temperatures(looked, 28))),
            Section("Wireworm traps", tuple(traps_grid(looked))),
            Section("Treatments", tuple(treatments_grid(looked))),
            Section("Warnings", tuple(warnings_grid(looked))),
            Section("What to do", tuple(to_do(looked))),
        ),
    )


def season(holding: Holding, year: int, now: datetime) -> Report:
    """One calendar year, up to now if it is not over."""
    last = min(date(year, 12, 31), now.astimezone(zone_of(holding.plot.get("time_zone"))).date())
    looked = Looked(holding, date(year, 1, 1), max(last, date(year, 1, 1)), now)
    days = (looked.last - looked.first).days + 1
    slugs = (*slug_chart(looked, days), *months_grid(looked), *places_grid(looked))
    none = (Words("No dawn round was walked, so nothing is known of slugs."),)
    return _report(
        looked,
        f"The season {year}",
        (
            Section("Slugs", slugs or none),
            Section("Temperatures", tuple(_temperatures(looked, days))),
            Section("Wireworms: what each bed may carry", tuple(beds(looked))),
            Section("Treatments and their evidence", tuple(treatments_grid(looked))),
            Section("Harvest and damage", tuple(harvest_grid(looked))),
            Section("How good the warnings were", tuple(scores_grid(looked))),
            Section("What to change", tuple(to_change(looked))),
        ),
    )


def products(holding: Holding, year: int, now: datetime) -> Report:
    """The record of products used in a calendar year."""
    looked = Looked(holding, date(year, 1, 1), date(year, 12, 31), now)
    words = Words(
        "Growers who use plant protection products for their work must keep for three years the name of the product, "
        "time and dose, area and crop (Regulation (EC) No 1107/2009, Article 67). What that list lacks is named in the "
        "last column; mend it in the app, under Diary."
    )
    return _report(looked, f"Products used in {year}", (Section("Record", (words, *product_grid(looked))),))


def _report(looked: Looked, title: str, sections: tuple[Section, ...]) -> Report:
    plot = looked.holding.plot
    name = str(plot.get("name") or "the plot")
    invented = " This plot is invented: nothing in it was measured." if plot.get("invented") else ""
    made = looked.now.astimezone(looked.zone)
    cautions = Section("Take care", tuple(Words(one, True) for one in _cautions(looked)))
    return Report(
        f"{title}: {name}",
        f"{day_words(looked.first)} to {day_words(looked.last)}.{invented}",
        (*sections, cautions),
        f"Made by Underboard on {day_words(made.date())} at {made:%H:%M} ({plot.get('time_zone') or 'UTC'}). "
        "Intervals are 95 %: in 19 of 20 such cases they hold the true value. Methods: underboard calc --list.",
    )


def _cautions(looked: Looked) -> list[str]:
    kinds = {str(one["body"].get("kind")) for one in looked.seen("treatment")}
    found = [_ALWAYS]
    if kinds & {"brew", "nematodes"}:
        found.append(_BREW)
    if "pellets" in kinds:
        found.append(_PELLETS)
    if "cover" in kinds:
        found.append(_COVERS)
    return found


def _temperatures(looked: Looked, days: int) -> list[Block]:
    first = looked.last - timedelta(days=days - 1)
    seen: dict[str, list[tuple[date, Mapping[str, Any]]]] = {}
    for one in looked.holding.seen("temperature"):
        day = looked.day(str(one["body"]["observed_at"]))
        if first <= day <= looked.last:
            seen.setdefault(str(one["body"].get("station_id")), []).append((day, one["body"]))
    rows, series = [], []
    for station, found in sorted(seen.items(), key=lambda one: (looked.holding.label(one[0]), one[0])):
        own = [(day, body) for day, body in found if day >= looked.first]
        lows, highs = _values(own, ("min", "current")), _values(own, ("max", "current"))
        if own:
            low, high = min(lows, default=None), max(highs, default=None)
            rows.append((looked.holding.label(station), *_at(low), *_at(high), str(len(own))))
        points = tuple(Point(day, value) for value, day in _values(found, ("min",)))
        if points:
            series.append(Series(looked.holding.label(station), points))
    blocks: list[Block] = []
    drawing = time_chart(series[:4], "°C", level=(0.0, "freezing"), from_zero=False)
    if drawing is not None:
        when = f"{day_words(first)} to {day_words(looked.last)}"
        words = f"Lowest temperatures as read, °C, {when}, up to four thermometers."
        blocks.append(Picture(drawing, words))
    if rows:
        blocks.append(Grid(("Thermometer", "Lowest, °C", "On", "Highest, °C", "On", "Readings"), tuple(rows)))
        blocks.append(
            Words("As read; a garden thermometer is good to about 1 °C (common practice, no source).")
        )
    return blocks or [Words("No thermometer was read.")]


def _values(found: list[tuple[date, Mapping[str, Any]]], names: tuple[str, ...]) -> list[tuple[float, date]]:
    told = [(temperature_c(body.get(name)), day) for day, body in found for name in names]
    return [(value, day) for value, day in told if value is not None]


def _at(found: tuple[float, date] | None) -> tuple[str, str]:
    return ("", "") if found is None else (f"{found[0]:.1f}", day_words(found[1]))


@dataclass(frozen=True)
class Kind:
    """A report by name. `of_year`: it is about a year, else about the week up to a day."""

    name: str
    doc: str
    of_year: bool
    make: Callable[[Holding, Any, datetime], Report]


KINDS: Final[Mapping[str, Kind]] = {
    one.name: one
    for one in (
        Kind("week", "one week: slugs, temperatures, traps, treatments, warnings, what to do", False, week),
        Kind(
            "season", "one year: verdicts, evidence, how good the warnings were, what to change", True, season
        ),
        Kind("products", "the record of products used in a year", True, products),
    )
}
