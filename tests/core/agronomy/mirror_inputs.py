"""Seeded inputs for every calculation that the client mirrors: likely ones, and likely ones spoiled."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any

Input = dict[str, Any]

#: What stands in for a value when an input is spoiled.
NONSENSE: tuple[Any, ...] = (None, "x", -1, 0, 1e13, 2.5, True, [], {}, [None], [1, "y"], "2026-02-30", -0.0)


def _some(rng: Random, given: Input, **optional: Any) -> Input:
    """The input with each optional value put in as often as not."""
    return given | {key: value for key, value in optional.items() if rng.random() < 0.5}


def _counts(rng: Random) -> list[int]:
    mean, k = rng.choice((0.2, 1, 4, 20)), rng.choice((0.2, 0.8, 3, 50))
    return [
        int(rng.expovariate(1 / max(1e-9, rng.gammavariate(k, mean / k)))) for _ in range(rng.randint(1, 30))
    ]


def _level(rng: Random) -> float:
    return rng.choice((0.5, 0.8, 0.95, rng.uniform(0.01, 0.999)))


def _poisson_interval(rng: Random) -> Input:
    given = {"count": rng.randint(0, 300)}
    return _some(
        rng, given, effort=rng.uniform(0.1, 20), level=_level(rng), sided=rng.choice(("two", "upper"))
    )


def _proportion(rng: Random) -> Input:
    examined = rng.randint(1, 200)
    return _some(rng, {"found": rng.randint(0, examined + 1), "examined": examined}, level=_level(rng))


def _count_summary(rng: Random) -> Input:
    counts = _counts(rng)
    return _some(rng, {"counts": counts}, level=_level(rng), clusters=[rng.choice("abc") for _ in counts])


def _samples(rng: Random) -> Input:
    size = {"core_diameter_m": rng.uniform(0.05, 0.2)} if rng.random() < 0.8 else {"unit_area_m2": 0.09}
    return _some(rng, {"n_units": rng.randint(1, 60), **size}, recovery=rng.uniform(0.1, 1))


def _density(rng: Random) -> Input:
    return _some(rng, {**_samples(rng), "found": rng.randint(0, 40)}, level=_level(rng))


def _miss_chance(rng: Random) -> Input:
    given = _samples(rng) if rng.random() < 0.7 else {"n_units": 6, "mean_per_unit": rng.uniform(0, 3)}
    return _some(rng, given, k=rng.uniform(0.05, 3), per_ha=rng.uniform(0, 3e5))


def _trap_thumb(rng: Random) -> Input:
    return {"caught": rng.randint(0, 40), "n_traps": rng.randint(1, 20)}


def _stop_line(rng: Random) -> Input:
    given: Input = {
        "method": rng.choice(("green", "kuno", "wald")),
        "n": [rng.randint(1, 40) for _ in range(rng.randint(1, 8))],
        **{"a": rng.uniform(0.5, 5), "b": rng.uniform(0.5, 2.3), "d": rng.uniform(0.1, 0.4)},
        **{"alpha": rng.uniform(-1.2, 2), "beta": rng.uniform(0.8, 2), "mean0": rng.uniform(0.2, 2)},
        **{"mean1": rng.uniform(1.5, 8), "k": rng.uniform(0.2, 5)},
        **{"error_low": rng.uniform(0.01, 0.6), "error_high": rng.uniform(0.01, 0.6)},
    }
    given.pop(rng.choice([*given, "none"]), None)
    return _some(rng, given, total=rng.randint(0, 200))


def _humidity(rng: Random) -> Input:
    air = rng.uniform(-20, 40)
    measures = {"rh_percent": rng.uniform(1, 100), "dew_c": air - rng.uniform(-1, 20)}
    measures["wet_c"] = air - rng.uniform(-0.5, 12)
    kept = [key for key in measures if rng.random() < 0.15] or [rng.choice(list(measures))]
    return _some(
        rng,
        {"air_c": air, **{key: measures[key] for key in kept}},
        pressure_kpa=rng.uniform(80, 105),
        formula=rng.choice(("wmo", "fao56")),
        psychrometer=rng.choice(("ventilated", "natural")),
    )


def _frost_tonight(rng: Random) -> Input:
    evening = rng.uniform(-5, 15)
    fit = {
        **{"n": rng.randint(0, 40), "intercept": rng.uniform(-8, 0), "evening_coef": rng.uniform(0.3, 1)},
        **{"dew_coef": rng.uniform(0, 0.3), "rmse": 1.4, "rmse_residual": rng.uniform(0.5, 2)},
        **{"method": rng.choice(("two_step", "joint", "evening_only", "mean_drop"))},
        **{"evening_low_c": -2.0, "evening_high_c": 9.0, "dew_low_c": -9.0, "dew_high_c": 5.0},
        **{"evening_mean_c": 3.0, "dew_mean_c": -2.0, "evening_ss_c2": 40.0, "dew_ss_c2": 60.0},
        **{"both_ss_c2": rng.uniform(-30, 60)},
    }
    kept = {key: value for key, value in fit.items() if key == "n" or rng.random() < 0.93}
    given = {"evening_c": evening, "dew_c": evening - rng.uniform(-0.3, 12), "fit": kept}
    more = {"offset_c": rng.uniform(-1, 3), "offset_sd_c": rng.uniform(0, 1), "level": _level(rng)}
    return _some(rng, given, critical_c=[0, -2.5], **more)


def _night_curve(rng: Random) -> Input:
    given = {"evening_c": rng.uniform(-3, 12), "min_c": rng.uniform(-8, 8), "night_hours": rng.uniform(6, 17)}
    hours = [rng.uniform(0, 18) for _ in range(4)]
    return _some(rng, given, hours=hours, critical_c=rng.uniform(-4, 4))


def _degree_days(rng: Random) -> Input:
    low = [rng.uniform(-5, 18) for _ in range(rng.randint(0, 12))]
    high = [value + rng.uniform(-0.2, 15) for value in low]
    given = {"min_c": [None if rng.random() < 0.05 else value for value in low], "max_c": high}
    methods = ("sine", "triangle", "average", "floored", "double_sine", "double_triangle")
    more = {"upper_c": rng.uniform(10, 30), "max_missing": rng.randint(0, 2), "method": rng.choice(methods)}
    return _some(rng, {**given, "base_c": rng.uniform(0, 12)}, **more)


def _moment(rng: Random) -> str:
    date, time = f"2026-{rng.randint(1, 12):02d}-{rng.randint(1, 28):02d}", f"{rng.randint(0, 23):02d}:30:00"
    return f"{date}T{time}{rng.choice(('Z', '+01:00', '-05:00', '+13:00'))}"


def _day_credit(rng: Random) -> Input:
    zones = ("Europe/London", "Europe/Dublin", "America/New_York", "Pacific/Auckland", "Australia/Lord_Howe")
    given: Input = {"read_at": _moment(rng), "time_zone": rng.choice(zones)}
    if rng.random() < 0.5:
        given |= {"latitude": rng.uniform(-50, 60), "longitude": rng.uniform(-10, 3)}
    return _some(rng, given, habit=rng.choice(("morning", "evening")), last_reset_at=_moment(rng))


def _sun(rng: Random) -> Input:
    places = (
        ("Europe/London", 52, 1),
        ("Europe/London", 60.2, -1.2),
        ("Pacific/Auckland", -40, 175),
        ("America/New_York", 41, -74),
        ("Pacific/Kiritimati", 2, -157.4),
    )
    zone, latitude, longitude = rng.choice(places)
    date = f"20{rng.randint(10, 40)}-{rng.randint(1, 12):02d}-{rng.randint(1, 28):02d}"
    return {"date": date, "latitude": latitude, "longitude": longitude, "time_zone": zone}


def _convert(rng: Random) -> Input:
    units = "degC degF kelvin °C m cm inch foot yard acre hectare rod m**2 sq_ft l ml pint us_pint gallon kg g oz lb"
    more = [
        "square yard",
        "lb/acre",
        "kg/hectare",
        "count/ft^2",
        "km/hour",
        "degC*day",
        "l/m²",
        "florb",
        "day",
    ]
    words = [*units.split(), *more]
    same = rng.choice(
        (words, ["degC", "degF", "kelvin"], ["m**2", "acre", "rod", "hectare"], ["l", "pint", "ml"])
    )
    given = {"value": rng.uniform(-50, 500), "from": rng.choice(same), "to": rng.choice(same)}
    return _some(rng, given, difference=rng.choice((True, False)))


def _nematode_dose(rng: Random) -> Input:
    more = {"per_m2": rng.uniform(1e4, 4e5), "per_ml": rng.uniform(1, 900), "pack": rng.choice((5e6, 3e7))}
    return _some(rng, {"area_m2": rng.uniform(0, 500)}, **more)


def _culture_count(rng: Random) -> Input:
    drops = [rng.randint(0, 40) for _ in range(rng.randint(0, 6))]
    given = {"aliquots": drops, "aliquot_ml": rng.choice((0.05, 0.1, 1))}
    return _some(rng, given, dilution=rng.uniform(1, 20), level=_level(rng))


def _application_check(rng: Random) -> Input:
    given = {"soil_c": round(rng.uniform(0, 30), 1), "moisture": rng.choice(("dry", "damp", "wet"))}
    more = {"days_since_last": rng.choice((3, 41, 42)), "under_cover": rng.choice((True, False))}
    more |= {"month": rng.randint(1, 12), "metres_to_water": rng.choice((1, 2.5, 3, 10))}
    return _some(rng, given, **more)


def _emergence(rng: Random) -> Input:
    crops = ("bean", "beet", "cabbage", "carrot", "lettuce", "onion", "parsnip", "pea", "pepper")
    daily = [rng.uniform(0, 20) for _ in range(rng.randint(0, 30))]
    return {"crop": rng.choice(crops), "soil_c": rng.choice((rng.uniform(-2, 30), daily))}


def _surge(rng: Random) -> Input:
    boards, mean, times = rng.randint(1, 14), rng.choice((0.05, 1, 4)), rng.choice((1, 1, 4))
    rounds: list[list[int | None]] = []
    for i in range(rng.randint(3, 22)):
        night = mean * rng.gammavariate(10, 0.1) * (times if i > 12 else 1)
        row = [None if rng.random() < 0.1 else int(rng.expovariate(1 / night) + 0.5) for _ in range(boards)]
        rounds.append(row if rng.random() < 0.95 else [None] * boards)
    return _some(rng, {"method": "boards", "rounds": rounds}, alpha=rng.choice((0.001, 0.05)))


def _trial_power(rng: Random) -> Input:
    given: Input = {"mean": rng.choice((0.01, 0.5, 3, 40)), "k": rng.choice((0.05, 0.8, 5, 1e4))}
    given |= {"n_boards": rng.randint(1, 40), "n_rounds": rng.randint(1, 30)}
    given["percent_fewer"] = rng.uniform(1, 95)
    return _some(rng, given, level=_level(rng), power=rng.uniform(0.05, 0.99))


def _trial_effect(rng: Random) -> Input:
    given: Input = {}
    mean, effect = rng.choice((0.3, 3, 20)), rng.choice((1, 0.5, 0.1))
    for side, times in (("treated", effect), ("control", 1)):
        n = rng.randint(1, 9)
        for when, level in (("before", mean), ("after", mean * times)):
            given[f"{side}_{when}"] = [int(rng.expovariate(1 / level) + 0.5) for _ in range(n)]
        if rng.random() < 0.4:
            given[f"{side}_effort"] = [rng.uniform(0.2, 4) for _ in range(n)]
    if rng.random() < 0.5:
        for side in ("treated", "control"):
            given[f"{side}_blocks"] = [rng.choice(("a", "b", 3)) for _ in given[f"{side}_before"]]
    return _some(rng, given, level=_level(rng))


INPUTS: dict[str, Callable[[Random], Input]] = {
    name.removeprefix("_").replace("_", "-"): made
    for name, made in list(globals().items())
    if name.startswith("_") and getattr(made, "__module__", "") == __name__ and name not in {
        "_some", "_counts", "_level", "_samples", "_moment"
    }
}  # fmt: skip


def spoiled(rng: Random, given: Input) -> Input:
    """The same with one value replaced by nonsense, left out, or a key of no meaning put in."""
    key = rng.choice(list(given))
    change = rng.random()
    if change < 0.15:
        return given | {"no/such~input": 1}
    if change < 0.3:
        return {name: value for name, value in given.items() if name != key}
    return given | {key: rng.choice(NONSENSE)}
