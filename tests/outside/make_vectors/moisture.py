"""Vectors of the moisture of the air."""

import numpy as np
import scipy
from scipy.optimize import brentq
from writing import Vectors

SCIPY = f"scipy {scipy.__version__}"

MAGNUS = {"wmo": (0.6112, 17.62, 243.12), "fao56": (0.6108, 17.27, 237.3)}


def saturation(t: float, formula: str) -> float:
    e0, a, b = MAGNUS[formula]
    return float(e0 * np.exp(a * t / (b + t)))


def air(
    t: float,
    *,
    vapour: float | None = None,
    rh: float | None = None,
    formula: str = "wmo",
    a: float = 0.000665,
    p: float = 101.325,
) -> dict[str, float]:
    """Every measure of moisture from vapour pressure or humidity; wet bulb and dew point by brentq."""
    full = saturation(t, formula)
    e = full * (rh or 0) / 100 if vapour is None else vapour
    dew = brentq(lambda x: saturation(x, formula) - e, -120, 80, xtol=1e-13, rtol=1e-14)
    wet = brentq(lambda x: saturation(x, formula) - a * p * (t - x) - e, -120, t + 1, xtol=1e-13, rtol=1e-14)
    return {
        "rh_percent": 100 * e / full,
        "dew_c": dew,
        "wet_bulb_c": wet,
        "vapour_kpa": e,
        "saturation_kpa": full,
        "deficit_kpa": full - e,
    }


def humidity() -> Vectors:
    v = Vectors(
        "humidity",
        source="WMO No. 8, annex 4.B (from memory); FAO-56 (Allen et al. 1998) eq. 8, 11, 14, 15",
        computed_with=f"{SCIPY} (optimize.brentq on the published equations); FAO-56 examples 3 and 5",
        notes={
            "near_freezing": "A fitted formula (Stull 2011) gives -0.49 °C, the wrong side of zero.",
            "published": "Printed in FAO-56.",
            "wet_given": "From dry and wet bulb.",
            "dew_given": "From the dew point.",
        },
        tolerance={"rel": 1e-9, "abs": 1e-9},
    )
    for t, rh in ((20, 50), (10, 80), (5, 90), (3, 70), (0, 60)):
        out = air(t, rh=rh)
        v.answer(f"wmo_{t}_{rh}", f"{t} °C, {rh} %, Magnus.", {"air_c": t, "rh_percent": rh}, out)
    v.answer(
        "near_freezing",
        "2 °C and 70 %: the wet bulb is above zero.",
        {"air_c": 2, "rh_percent": 70},
        air(2, rh=70),
        flags=("near_freezing",),
    )
    for t, rh in ((20, 50), (3, 70)):
        v.answer(
            f"fao56_{t}_{rh}",
            f"{t} °C, {rh} %, Tetens.",
            {"air_c": t, "rh_percent": rh, "formula": "fao56"},
            air(t, rh=rh, formula="fao56"),
        )
    v.answer(
        "fao56_example_3",
        "Saturation 3.075 kPa at 24.5 °C; 1.705 kPa at 15 °C, here as the dew point.",
        {"air_c": 24.5, "dew_c": 15, "formula": "fao56"},
        {"saturation_kpa": 3.075, "vapour_kpa": 1.705},
        flags=("published", "dew_given"),
        tolerance={"abs": 0.0006, "reason": "printed to three decimals"},
    )
    v.answer(
        "dew_given",
        "Dew point -3 °C in air of 4 °C.",
        {"air_c": 4, "dew_c": -3},
        air(4, vapour=saturation(-3, "wmo")),
        flags=("dew_given",),
        says={"cautions": ["over water"]},
    )
    for kind, a in (("ventilated", 0.000662), ("natural", 0.0008)):
        p = 87.9
        e = saturation(19.5, "fao56") - a * p * (25.6 - 19.5)
        v.answer(
            f"wet_{kind}",
            "Dry 25.6 °C, wet 19.5 °C at 1200 m (87.9 kPa), as in FAO-56 example 4.",
            {"air_c": 25.6, "wet_c": 19.5, "pressure_kpa": p, "formula": "fao56", "psychrometer": kind},
            {**air(25.6, vapour=e, formula="fao56", a=a, p=p)},
            flags=("wet_given",),
        )
    v.answer(
        "saturated",
        "Fog: dew point and wet bulb are the air temperature.",
        {"air_c": 1.5, "rh_percent": 100},
        {"dew_c": 1.5, "wet_bulb_c": 1.5, "deficit_kpa": 0},
        says={"cautions": []},
    )
    v.refused("nothing_given", "No measure of moisture.", {"air_c": 4}, "/rh_percent")
    v.refused("two_given", "Two measures.", {"air_c": 4, "rh_percent": 50, "dew_c": 1}, "/dew_c")
    v.refused("dew_above_air", "Dew point above the air.", {"air_c": 4, "dew_c": 5}, "/dew_c")
    v.refused("wet_above_air", "Wet bulb above the air.", {"air_c": 4, "wet_c": 4.5}, "/wet_c")
    v.refused("dry_wick", "Lower than dry air would cool it.", {"air_c": 20, "wet_c": -5}, "/wet_c")
    v.refused("humidity_zero", "No air is without water.", {"air_c": 4, "rh_percent": 0}, "/rh_percent")
    v.refused(
        "unknown_formula", "No such formula.", {"air_c": 4, "rh_percent": 9, "formula": "x"}, "/formula"
    )
    return v


FILES = {"humidity": humidity}
