"""The three reports: a week, a season, the products used."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from underboard.core.units import temperature_c
from underboard.core.warnings.timing import zone_of
from underboard.core.warnings.wording import sentences
from underboard.exchange.holding import Holding
from underboard.exchange.report.chart import Point, Series, time_chart
from underboard.exchange.report.parts import Block, Grid, Picture, Report, Section, Words
from underboard.exchange.report.period import Looked
from underboard.exchange.report.slugs import compared, months_grid, places_grid, rounds_grid, slug_chart
from underboard.exchange.report.tongue import ENGLISH, Tongue
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


def week(holding: Holding, last: date, now: datetime, tongue: Tongue = ENGLISH) -> Report:
    """The seven days up to `last`."""
    looked, say = Looked(holding, last - timedelta(days=6), last, now, tongue), tongue.say
    slugs = (compared(looked), *slug_chart(looked, 56), *rounds_grid(looked), *places_grid(looked))
    return _report(
        looked,
        "The week: {plot}",
        (
            Section(say("Slugs"), slugs),
            Section(say("Temperatures"), tuple(_temperatures(looked, 28))),
            Section(say("Wireworm traps"), tuple(traps_grid(looked))),
            Section(say("Treatments"), tuple(treatments_grid(looked))),
            Section(say("Warnings"), tuple(warnings_grid(looked))),
            Section(say("What to do"), tuple(to_do(looked))),
        ),
    )


def season(holding: Holding, year: int, now: datetime, tongue: Tongue = ENGLISH) -> Report:
    """One calendar year, up to now if it is not over."""
    last = min(date(year, 12, 31), now.astimezone(zone_of(holding.plot.get("time_zone"))).date())
    looked, say = Looked(holding, date(year, 1, 1), max(last, date(year, 1, 1)), now, tongue), tongue.say
    days = (looked.last - looked.first).days + 1
    slugs = (*slug_chart(looked, days), *months_grid(looked), *places_grid(looked))
    none = (Words(say("No dawn round was walked, so nothing is known of slugs.")),)
    return _report(
        looked,
        "The season {year}: {plot}",
        (
            Section(say("Slugs"), slugs or none),
            Section(say("Temperatures"), tuple(_temperatures(looked, days))),
            Section(say("Wireworms: what each bed may carry"), tuple(beds(looked))),
            Section(say("Treatments and their evidence"), tuple(treatments_grid(looked))),
            Section(say("Harvest and damage"), tuple(harvest_grid(looked))),
            Section(say("How good the warnings were"), tuple(scores_grid(looked))),
            Section(say("What to change"), tuple(to_change(looked))),
        ),
    )


def products(holding: Holding, year: int, now: datetime, tongue: Tongue = ENGLISH) -> Report:
    """The record of products used in a calendar year."""
    looked = Looked(holding, date(year, 1, 1), date(year, 12, 31), now, tongue)
    words = Words(
        tongue.say(
            "Growers who use plant protection products for their work must keep for three years the name of the "
            "product, time and dose, area and crop (Regulation (EC) No 1107/2009, Article 67). What that list lacks is "
            "named in the last column; mend it in the app, under Diary."
        )
    )
    record = Section(tongue.say("Record"), (words, *product_grid(looked)))
    return _report(looked, "Products used in {year}: {plot}", (record,))


def _report(looked: Looked, title: str, sections: tuple[Section, ...]) -> Report:
    plot = looked.holding.plot
    tongue, say = looked.tongue, looked.tongue.say
    name = str(plot.get("name") or say("the plot"))
    invented = say("This plot is invented: nothing in it was measured.") if plot.get("invented") else None
    made = looked.now.astimezone(looked.zone)
    cautions = Section(say("Take care"), tuple(Words(say(one), True) for one in _cautions(looked)))
    return Report(
        say(title, year=looked.last.year, plot=name),
        sentences(say("{first} to {last}.", first=tongue.day(looked.first), last=tongue.day(looked.last)), invented),
        (*sections, cautions),
        say(
            "Made by Underboard on {day} at {time} ({zone}). Intervals are 95 %: in 19 of 20 such cases they hold the "
            "true value. Methods: underboard calc --list.",
            day=tongue.day(made.date()), time=f"{made:%H:%M}", zone=plot.get("time_zone") or "UTC",
        ),
        tongue.code,
    )  # fmt: skip


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
    tongue, say = looked.tongue, looked.tongue.say
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
            rows.append((looked.holding.label(station), *_at(low, tongue), *_at(high, tongue), str(len(own))))
        points = tuple(Point(day, value) for value, day in _values(found, ("min",)))
        if points:
            series.append(Series(looked.holding.label(station), points))
    blocks: list[Block] = []
    drawing = time_chart(series[:4], "°C", level=(0.0, say("freezing")), from_zero=False, tongue=tongue)
    if drawing is not None:
        words = say(
            "Lowest temperatures as read, °C, {first} to {last}, up to four thermometers.",
            first=tongue.day(first), last=tongue.day(looked.last),
        )  # fmt: skip
        blocks.append(Picture(drawing, words))
    if rows:
        heads = (
            say("Thermometer"),
            say("Lowest, °C"),
            say("On"),
            say("Highest, °C"),
            say("On"),
            say("Readings"),
        )
        blocks.append(Grid(heads, tuple(rows)))
        blocks.append(
            Words(say("As read; a garden thermometer is good to about 1 °C (common practice, no source)."))
        )
    return blocks or [Words(say("No thermometer was read."))]


def _values(found: list[tuple[date, Mapping[str, Any]]], names: tuple[str, ...]) -> list[tuple[float, date]]:
    told = [(temperature_c(body.get(name)), day) for day, body in found for name in names]
    return [(value, day) for value, day in told if value is not None]


def _at(found: tuple[float, date] | None, tongue: Tongue) -> tuple[str, str]:
    return ("", "") if found is None else (tongue.number(f"{found[0]:.1f}"), tongue.day(found[1]))


@dataclass(frozen=True)
class Kind:
    """A report by name. `of_year`: it is about a year, else about the week up to a day."""

    name: str
    doc: str
    of_year: bool
    make: Callable[[Holding, Any, datetime, Tongue], Report]


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
