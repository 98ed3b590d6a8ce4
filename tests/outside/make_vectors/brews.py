"""Vectors of nematode doses, culture counts and the check before watering in."""

from typing import Any

import scipy
from scipy.stats import chi2
from writing import Vectors

LEAFLET = "UK suppliers' leaflets on slug nematodes"


def nematode_dose() -> Vectors:
    v = Vectors(
        "nematode-dose",
        source="UK horticultural distributor's dose table: 300,000 per m² for about six weeks",
        computed_with="by hand: area times dose; 30 million treat 100 m² as printed",
        notes={
            "published": "Printed by the distributor.",
            "brew": "A counted home brew: volume from its strength, with the cautions that belong to it.",
        },
    )
    v.answer("bed_250", "250 m² at the full dose.", {"area_m2": 250},
             {"nematodes": 75e6, "culture_ml": None, "packs": None},
             says={"why_not": ["per_ml", "pack size"], "cautions": ["label"]})  # fmt: skip
    v.answer("pack_100", "A pack of 30 million treats 100 m².", {"area_m2": 100, "pack": 30_000_000},
             {"nematodes": 30e6, "packs": 1}, flags=("published",))  # fmt: skip
    v.answer("pack_101", "One square metre more needs a second pack.", {"area_m2": 101, "pack": 30_000_000},
             {"packs": 2})  # fmt: skip
    v.answer("brew", "240 per ml: 1,250 ml of neat brew for each m².", {"area_m2": 12, "per_ml": 240},
             {"culture_ml": 15_000, "culture_ml_per_m2": 1250}, flags=("brew",),
             says={"cautions": ["untreated control", "gloves"]})  # fmt: skip
    v.answer("weak", "Weaker than any published dose.", {"area_m2": 10, "per_m2": 40_000},
             {"nematodes": 400_000}, says={"cautions": ["weakest"]})  # fmt: skip
    v.refused("negative_area", "Less than nothing.", {"area_m2": -1}, "/area_m2")
    v.refused("no_dose", "A dose of none.", {"area_m2": 1, "per_m2": 0}, "/per_m2")
    v.refused("area_missing", "No area.", {}, "/area_m2")
    return v


def culture_count() -> Vectors:
    v = Vectors(
        "culture-count",
        source="Garwood 1936, Biometrika 28:437",
        computed_with=f"scipy {scipy.__version__} (stats.chi2)",
        notes={
            "none": "Nothing found still leaves an upper limit; nothing counted leaves nothing.",
            "unequal": "The drops differ more than a stirred culture allows.",
        },
    )

    def expected(drops: list[int], ml: float, dilution: float, level: float) -> dict[str, Any]:
        total, volume, tail = sum(drops), len(drops) * ml, (1 - level) / 2
        low = float(chi2.ppf(tail, 2 * total) / 2) if total else 0.0
        out: dict[str, Any] = {
            "per_ml": total * dilution / volume,
            "low": low * dilution / volume,
            "high": float(chi2.isf(tail, 2 * total + 2) / 2) * dilution / volume,
            "total": total,
            "counted_ml": volume,
            "dispersion_p": None,
        }
        if total and len(drops) > 1:
            mean = total / len(drops)
            spread = sum((x - mean) ** 2 for x in drops) / mean
            out["dispersion_p"] = float(chi2.sf(spread, len(drops) - 1))
        return out

    for name, drops, ml, dilution, level, flags in (
        ("five_drops", [12, 15, 9, 14, 10], 0.05, 1, 0.95, ()),
        ("diluted", [31, 28, 40], 0.1, 10, 0.9, ()),
        ("unequal", [2, 60, 5, 0], 0.05, 1, 0.95, ("unequal",)),
        ("none_found", [0, 0, 0], 0.05, 1, 0.95, ("none",)),
        ("one_drop", [7], 0.05, 1, 0.95, ()),
    ):
        given = {"aliquots": drops, "aliquot_ml": ml, "dilution": dilution, "level": level}
        v.answer(name, f"Drops of {ml} ml.", given, expected(drops, ml, dilution, level), flags=flags)
    v.answer("no_drop", "Nothing was counted.", {"aliquots": [], "aliquot_ml": 0.05},
             {"per_ml": None, "low": None, "high": None, "total": 0}, flags=("none",),
             says={"why_not": ["no drop"]})  # fmt: skip
    v.refused("drop_of_nothing", "A drop without volume.", {"aliquots": [3], "aliquot_ml": 0}, "/aliquot_ml")
    v.refused("half_a_worm", "Not a whole number.", {"aliquots": [3, 2.5], "aliquot_ml": 0.05}, "/aliquots/1")
    return v


def application_check() -> Vectors:
    v = Vectors(
        "application-check",
        source=f"{LEAFLET} (5 to 20 °C, March to October outdoors, six weeks, 3 m from ponds, moist soil)",
        computed_with="by hand from the leaflets' limits",
        notes={
            "limit": "On each side of a printed limit.",
            "strongest": "The strongest verdict wins and every reason is given.",
        },
    )
    fine = {"soil_c": 12, "moisture": "damp", "month": 5}

    def add(name: str, comment: str, change: dict[str, Any], verdict: str, words: list[str],
            flags: tuple[str, ...] = ("limit",)) -> None:  # fmt: skip
        v.answer(name, comment, {**fine, **change}, {"verdict": verdict}, flags=flags,
                 says={"reasons": words, "cautions": ["gloves"]})  # fmt: skip

    add("right", "All is right.", {}, "go", ["right"], ())
    add("cold_4_9", "4.9 °C.", {"soil_c": 4.9}, "no", ["at least 5"])
    add("warm_enough_5", "5.0 °C.", {"soil_c": 5}, "go", ["right"])
    add("top_20", "20 °C.", {"soil_c": 20}, "go", ["right"])
    add("warm_20_1", "20.1 °C.", {"soil_c": 20.1}, "wait", ["above 20"])
    add("top_25", "25 °C.", {"soil_c": 25}, "wait", ["above 20"])
    add("hot_25_1", "25.1 °C.", {"soil_c": 25.1}, "no", ["above 25"])
    add("dry", "Dry soil.", {"moisture": "dry"}, "no", ["water it well"], ())
    add("active_41", "Day 41.", {"days_since_last": 41}, "wait", ["still active"])
    add("due_42", "Day 42.", {"days_since_last": 42}, "go", ["right"])
    add("pond_2_9", "A pond at 2.9 m.", {"metres_to_water": 2.9}, "no", ["pond"])
    add("pond_3", "A pond at 3 m.", {"metres_to_water": 3}, "go", ["right"])
    add("november", "Outdoors in November.", {"month": 11}, "no", ["March to October"])
    add("november_tunnel", "In a tunnel.", {"month": 11, "under_cover": True}, "go", ["right"])
    add("two_reasons", "Too warm and too soon, and dry.",
        {"soil_c": 21, "days_since_last": 10, "moisture": "dry"}, "no",
        ["above 20", "still active", "water it well"], ("strongest",))  # fmt: skip
    v.refused("moisture", "No such word.", {**fine, "moisture": "soaking"}, "/moisture")
    v.refused("month_13", "No such month.", {**fine, "month": 13}, "/month")
    v.refused("cover_text", "Text for yes or no.", {**fine, "under_cover": "yes"}, "/under_cover")
    return v


FILES = {
    "nematode-dose": nematode_dose,
    "culture-count": culture_count,
    "application-check": application_check,
}
