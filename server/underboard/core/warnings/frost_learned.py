"""What a plot's own nights teach about frost: the fit of its minima, and how its covered places differ."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from underboard.core.agronomy.frost.cover_offset import cover_offset
from underboard.core.agronomy.frost.foretold import fit_of
from underboard.core.agronomy.frost.frost_fit import frost_fit
from underboard.core.warnings.facts import Facts, NightFact, PairFact
from underboard.core.warnings.frost_night import lowest_of, under_cover


def frost_learned(facts: Facts) -> dict[str, Any]:
    """Return the fit over the plot's clear nights and the offset of each place with a thermometer, as JSON.

    Beside the fit stand `without_dew`, the usual drop of those nights, and `dull`, the usual drop of cloudy and
    windy ones (of the last 400 days, as far as readings are kept).
    """
    return {
        "frost_fit": {**fit_of_nights(facts.nights), "dull": dict(dull_fit(dull_nights(facts)))},
        "offsets": {place_id: dict(_offset(pairs)) for place_id, pairs in sorted(facts.pairs.items())},
    }


# A plot is looked at every quarter of an hour and its nights change once a day.
@lru_cache(maxsize=256)
def fit_of_nights(nights: tuple[NightFact, ...]) -> Mapping[str, Any]:
    """The two steps or the usual drop, whichever foretells better; with the drop alone beside it.

    A line on which warmer evenings give colder nights is chance or error, so the drop stands in for it.
    """
    rows = [{"evening_c": one.evening_c, "dew_c": one.dew_c, "min_c": one.min_c} for one in nights]
    drop = _plain(vars(frost_fit(rows, "mean_drop")))
    best = _plain(fit_of(rows, None))
    if (best["evening_coef"] or 0.0) < 0:
        best = drop
    return {**best, "without_dew": drop}


@lru_cache(maxsize=256)
def dull_fit(nights: tuple[tuple[float, float], ...]) -> Mapping[str, Any]:
    """The usual drop over pairs of evening and minimum [°C]; it needs no dew point."""
    return _plain(vars(frost_fit([{"evening_c": e, "min_c": low} for e, low in nights], "mean_drop")))


def dull_nights(facts: Facts) -> tuple[tuple[float, float], ...]:
    """Return evening temperature and minimum of nights whose last reading in the open was cloudy or windy [°C]."""
    lowest = lowest_of(facts).get("", {})
    last = {one.night: one for one in facts.evenings if not under_cover(facts, one)}
    return tuple(
        (one.air_c, lowest[night])
        for night, one in sorted(last.items())
        if night in lowest and not one.clear_calm
    )


@lru_cache(maxsize=1024)
def _offset(pairs: tuple[PairFact, ...]) -> Mapping[str, Any]:
    found = cover_offset([one.outside_c for one in pairs], [one.inside_c for one in pairs])
    return _plain(vars(found))


def _plain(fields: Mapping[str, Any]) -> dict[str, Any]:
    return {name: list(value) if isinstance(value, tuple) else value for name, value in fields.items()}
