"""Shall people be warned of frost this evening? The whole decision from what was learned and one evening.

Plain numbers in and out: pwa/src/domain/frost_decision.ts reckons the same, and
fixtures/vectors/decisions/frost.json holds both to what scipy says.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.agronomy.frost.foretold import foretell, leverage_of
from underboard.core.agronomy.frost.frost_fit import ENOUGH_NIGHTS
from underboard.core.agronomy.frost.frost_tonight import FrostTonight, frost_tonight
from underboard.core.agronomy.frost.moments import N_COEFFICIENTS, USES_DEW
from underboard.core.agronomy.judged.cost_loss import cost_loss

LEVEL: Final = 0.95
AIR_FROST_C: Final = 0.0


@dataclass(frozen=True)
class CropChance:
    """The chance `p` [0 to 1] that it gets colder than `critical_c` [°C]; both None for an unknown crop."""

    crop_id: str | None
    kind: str
    critical_c: float | None
    p: float | None


@dataclass(frozen=True)
class PlaceTonight:
    """Tonight's minimum at a place [°C], `place_id` None in the open; what stands there."""

    place_id: str | None
    min_c: float
    low_c: float
    high_c: float
    offset_c: float
    offset_sd_c: float
    crops: tuple[CropChance, ...]


@dataclass(frozen=True)
class FrostDecision:
    """Tonight, and whether to warn.

    Attributes
    ----------
    min_c, low_c, high_c
        Lowest air temperature to expect in the open, with its interval at `level` [°C].
    p
        The largest chance of harm of any crop [0 to 1]; None when none has a damage temperature.
    threshold
        The chance above which acting pays; None when nothing can be lost.
    clear
        Radiation makes the night; else the figures are only a lower bound of what to expect, unless
    dull_fitted
        says that they come from eight and more cloudy or windy nights of the plot.
    already
        It is colder already than something that stands there bears, whatever the sky does.
    fires, by_chance, by_own
        Warn; because a chance is above the threshold (on a clear night, on a dull one that is fitted, or
        already); because the person's own temperature is met.
    """

    min_c: float
    low_c: float
    high_c: float
    level: float
    fitted_to_plot: bool
    inside_fitted_range: bool | None
    method: str
    n_nights: int
    clear: bool
    dull_fitted: bool
    already: bool
    places: tuple[PlaceTonight, ...]
    p: float | None
    threshold: float | None
    fires: bool
    by_chance: bool
    by_own: bool
    unknown: tuple[str, ...]
    cautions: tuple[str, ...]


def frost_decision(
    learned: Mapping[str, Any],
    evening: Mapping[str, Any],
    crops: Sequence[Mapping[str, Any]],
    settings: Mapping[str, Any],
    seen_c: Mapping[str, float] | None = None,
    air_frost: bool = True,
) -> FrostDecision:
    """Decide from the evening reading.

    Parameters
    ----------
    learned
        ``frost_fit`` (an answer of frost-fit, with ``without_dew`` for evenings with no dew point and ``dull``
        for cloudy and windy ones) and
        ``offsets`` (answers of cover-offset by place), as the plot's `learned` record keeps them.
    evening
        ``evening_c``, ``dew_c`` (None: not measured) [°C], ``sky`` and ``wind`` in the words of the record.
    crops
        What stands: ``crop_id``, ``kind``, ``place_id``, ``stage``, ``hardened``.
    settings
        ``cost`` and ``loss`` in one unit, ``at_c`` the person's own temperature [°C] or None.
    seen_c
        Lowest temperature read since, by place; "" in the open [°C].
    air_frost
        No crop was ever recorded: ask for frost of the air.

    Returns
    -------
    FrostDecision

    Notes
    -----
    Minimum, interval and chances are those of `frost-tonight` with the place's cautious offset and its
    spread. Two things are ours. What was read since bounds the minimum. And far outside the nights of a fit
    the interval widens so fast that a warmer evening would raise the chance of frost again; there the chance
    stays at its turning point (`_turned`). Where crops stand and none has a known damage temperature, frost
    of the air itself (0 °C) is asked instead.
    """
    clear = evening.get("sky") in (None, "clear") and evening.get("wind") in (None, "calm", "light")
    kept = learned.get("frost_fit") or {"n": 0}
    dull = kept.get("dull") or {"n": 0}
    dull_fitted = not clear and dull["n"] >= ENOUGH_NIGHTS
    fit, dew_c = _usable(dull if dull_fitted else kept, evening)
    offsets = learned.get("offsets") or {}
    seen = seen_c or {}
    known = [(one, crop_damage(one["kind"], one.get("stage"), bool(one.get("hardened")))) for one in crops]
    asked: list[tuple[str | None, str | None, str, float | None]] = [
        (one.get("place_id"), one["crop_id"], one["kind"], damage.critical_c) for one, damage in known
    ]
    if all(critical is None for *_, critical in asked) and (asked or air_frost):
        asked.append((None, None, "air frost", AIR_FROST_C))
    evening_c = evening["evening_c"]
    places = []
    for place_id in sorted({row[0] for row in asked}, key=lambda one: one or ""):
        rows = [row[1:] for row in asked if row[0] == place_id]
        places.append(_place(fit, evening_c, dew_c, offsets.get(place_id or "") or {}, seen, place_id, rows))
    told = frost_tonight(evening_c, dew_c, fit=fit, level=LEVEL)
    open_air = _bounded(told, seen.get(""))
    chances = [crop.p for place in places for crop in place.crops if crop.p is not None]
    p = max(chances, default=None)
    weighed = cost_loss(p or 0.0, settings["cost"], settings["loss"])
    at_c = settings.get("at_c")
    by_own = at_c is not None and min([open_air[0], *(place.min_c for place in places)]) <= at_c
    already = p == 1.0 and any(
        crop.critical_c is not None
        and _coldest(place.place_id, place.offset_c, evening_c, seen) < crop.critical_c
        for place in places
        for crop in place.crops
    )
    by_chance = (clear or dull_fitted or already) and p is not None and weighed.act is True
    return FrostDecision(
        *open_air,
        level=LEVEL,
        fitted_to_plot=told.fitted_to_plot,
        inside_fitted_range=told.inside_fitted_range,
        method=told.method,
        n_nights=fit["n"],
        clear=clear,
        dull_fitted=dull_fitted,
        already=already,
        places=tuple(places),
        p=p,
        threshold=weighed.threshold,
        fires=by_chance or by_own,
        by_chance=by_chance,
        by_own=by_own,
        unknown=tuple(sorted({one["kind"] for one, damage in known if damage.critical_c is None})),
        cautions=told.cautions,
    )


def _usable(fit: Mapping[str, Any], evening: Mapping[str, Any]) -> tuple[Mapping[str, Any], float]:
    """The fit this evening can be put into, and a dew point; without one the usual drop, which needs none."""
    if evening.get("dew_c") is not None:
        return fit, evening["dew_c"]
    if (fit.get("method") or "two_step") in USES_DEW:
        fit = fit.get("without_dew") or {"n": 0}
    return fit, evening["evening_c"]


def _place(
    fit: Mapping[str, Any],
    evening_c: float,
    dew_c: float,
    offset: Mapping[str, Any],
    seen: Mapping[str, float],
    place_id: str | None,
    rows: Sequence[tuple[str | None, str, float | None]],
) -> PlaceTonight:
    offset_c = offset.get("plan_with_c") or 0.0
    offset_sd_c = offset.get("sd_c") or 0.0
    limits = sorted({critical for *_, critical in rows if critical is not None})
    told = frost_tonight(
        evening_c, dew_c, limits, fit=fit, offset_c=offset_c, offset_sd_c=offset_sd_c, level=LEVEL
    )
    down_to = _coldest(place_id, offset_c, evening_c, seen)
    chance = {}
    for one in told.chances:
        turned = _turned(fit, evening_c, dew_c, offset_c, offset_sd_c, one.critical_c)
        chance[one.critical_c] = 1.0 if down_to < one.critical_c else one.p if turned is None else turned
    return PlaceTonight(
        place_id,
        *_bounded(told, down_to if seen else None),
        offset_c=offset_c,
        offset_sd_c=offset_sd_c,
        crops=tuple(
            CropChance(crop_id, kind, critical, None if critical is None else chance[critical])
            for crop_id, kind, critical in rows
        ),
    )


def _coldest(place_id: str | None, offset_c: float, evening_c: float, seen: Mapping[str, float]) -> float:
    """What it has been down to at a place: the minimum is that or lower."""
    here = [seen[place_id]] if place_id and place_id in seen else []
    return min([evening_c + offset_c, seen.get("", evening_c) + offset_c, *here])


def _bounded(told: FrostTonight, bound: float | None) -> tuple[float, float, float]:
    """Minimum and interval as `frost-tonight` has them, and no higher than what was read since."""
    low = told.min_c if told.low_c is None else told.low_c
    high = told.min_c if told.high_c is None else told.high_c
    if bound is None:
        return told.min_c, low, high
    return min(told.min_c, bound), min(low, bound), min(high, bound)


def _turned(
    fit: Mapping[str, Any],
    evening_c: float,
    dew_c: float,
    offset_c: float,
    offset_sd_c: float,
    critical_c: float,
) -> float | None:
    """The chance at the turning point, when this evening lies beyond it; else None.

    The chance is T(-m/(s sqrt(Q))) with the margin m = a + b u linear and Q = q0 + q1 u + q2 u² quadratic in
    u, the evening less the mean evening. m/sqrt(Q) has one turning point, where b Q = m Q'/2.
    """
    method, n = fit.get("method") or "two_step", fit["n"]
    error, b = fit.get("rmse_residual"), fit.get("evening_coef")
    if (
        n < ENOUGH_NIGHTS
        or method == "mean_drop"
        or fit.get("intercept") is None
        or not error
        or not b
        or b < 0
    ):
        return None
    if leverage_of(fit, method, evening_c, dew_c) is None:
        return None
    mean, sxx = fit["evening_mean_c"], fit["evening_ss_c2"]
    q0, q1, q2 = 1 + 1 / n + (offset_sd_c / error) ** 2, 0.0, 1 / sxx
    if method in USES_DEW:
        sdd, sxd, v = fit["dew_ss_c2"], fit["both_ss_c2"], dew_c - fit["dew_mean_c"]
        area = sxx * sdd - sxd * sxd
        q0, q1, q2 = q0 + v * v * sxx / area, -2 * v * sxd / area, sdd / area
    a = foretell(fit, mean, dew_c).min_c + offset_c - critical_c
    falls = a * q2 - b * q1 / 2
    if falls == 0:
        return None
    turn, u = (b * q0 - a * q1 / 2) / falls, evening_c - mean
    if (u <= turn) if falls > 0 else (u >= turn):
        return None
    spread = error * math.sqrt(q0 + q1 * turn + q2 * turn * turn)
    return _student(n - N_COEFFICIENTS[method], -(a + b * turn) / spread)


def _student(df: float, t: float) -> float:
    from scipy.special import stdtr

    return float(stdtr(df, t))
