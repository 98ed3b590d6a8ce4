"""Vectors of the calculations on wireworm samples."""

import math
from typing import Any

import scipy
from scipy.stats import chi2, nbinom, poisson
from writing import Vectors

SCIPY = f"scipy {scipy.__version__}"
ACRE_M2 = 43_560 * 0.3048**2
FOUR_INCHES = 4 * 0.0254


def _area(n: int, given: dict[str, Any]) -> float:
    if "core_diameter_m" in given:
        return n * math.pi * given["core_diameter_m"] ** 2 / 4
    return float(n * given["unit_area_m2"])


def _density(given: dict[str, Any]) -> dict[str, float]:
    x, level = given["found"], given.get("level", 0.95)
    searched = _area(given["n_units"], given) * given.get("recovery", 1)
    tail = (1 - level) / 2
    low = float(chi2.ppf(tail, 2 * x) / 2) if x else 0.0
    high = float(chi2.isf(tail, 2 * x + 2) / 2)
    upper = float(chi2.isf(1 - level, 2 * x + 2) / 2)
    return {
        "area_m2": _area(given["n_units"], given),
        "per_m2": x / searched,
        "low_per_m2": low / searched,
        "high_per_m2": high / searched,
        "per_ha": 1e4 * x / searched,
        "low_per_ha": 1e4 * low / searched,
        "high_per_ha": 1e4 * high / searched,
        "per_acre": ACRE_M2 * x / searched,
        "one_find_per_ha": 1e4 / searched,
        "upper_one_sided_per_ha": 1e4 * upper / searched,
    }


def density() -> Vectors:
    v = Vectors(
        "density",
        source="Garwood 1936, Biometrika 28:437",
        computed_with=f"{SCIPY} (stats.chi2); geometry of cores",
        notes={
            "zero": "Nothing found is not nothing there.",
            "recovery": "Hand sorting finds about 0.4 of the larvae: Ann. appl. Biol. 1945, 32:148.",
            "worth_of_one": "20 cores of 4 in: one larva is 61,673 per ha, whence the old 62,500.",
        },
    )
    four = {"n_units": 20, "core_diameter_m": FOUR_INCHES}
    cases: list[tuple[str, str, dict[str, Any], tuple[str, ...]]] = [
        ("ten_cm_cores", "20 cores of 10 cm.", {"found": 1, "n_units": 20, "core_diameter_m": 0.1}, ()),
        ("one_in_four_inch_cores", "One find.", {"found": 1, **four}, ("worth_of_one",)),
        ("three_found", "Three finds.", {"found": 3, **four}, ()),
        ("none_found", "No find.", {"found": 0, **four}, ("zero",)),
        ("none_by_hand", "No find by hand.", {"found": 0, **four, "recovery": 0.4}, ("zero", "recovery")),
        ("ten_cores", "Half as many.", {"found": 1, **four, "n_units": 10}, ()),
        (
            "square_holes",
            "Spits of 0.09 m².",
            {"found": 7, "n_units": 6, "unit_area_m2": 0.09, "level": 0.9},
            (),
        ),
    ]
    for name, comment, given, flags in cases:
        says = {"cautions": ["not nothing there"]} if "zero" in flags else None
        v.answer(name, comment, given, _density(given), flags=flags, says=says)
    v.refused("no_area", "No size of the samples.", {"found": 1, "n_units": 20}, "/unit_area_m2")
    v.refused("no_units", "No samples.", {**four, "found": 1, "n_units": 0}, "/n_units")
    v.refused("recovery_over_1", "More than all.", {"found": 1, **four, "recovery": 1.2}, "/recovery")
    v.refused("negative", "Fewer than none.", {"found": -1, **four}, "/found")
    return v


def miss_chance() -> Vectors:
    v = Vectors(
        "miss-chance",
        source="zero term of the Poisson and negative binomial laws; Southwood (from memory)",
        computed_with=f"{SCIPY} (stats.poisson, stats.nbinom)",
        notes={
            "clumped": "Clumped larvae are missed more often.",
            "recovery": "Hand sorting brings about 0.4 of the larvae to light.",
            "none": "Where there are none, none are found.",
        },
    )
    core = math.pi * FOUR_INCHES**2 / 4
    four = {"n_units": 20, "core_diameter_m": FOUR_INCHES}
    for per_ha in (25_000, 62_500, 100_000, 150_000, 250_000):
        for name, more, flags in (("poisson", {}, ()), ("clumped", {"k": 0.2}, ("clumped",)),
                                  ("by_hand", {"recovery": 0.4}, ("recovery",))):  # fmt: skip
            mean = per_ha / 1e4 * core * float(more.get("recovery", 1))
            k = more.get("k")
            p = float(nbinom.pmf(0, 20 * k, k / (k + mean)) if k else poisson.pmf(0, 20 * mean))
            comment = f"20 cores of 4 in, {per_ha} per ha."
            v.answer(
                f"{name}_{per_ha}", comment, {"per_ha": per_ha, **four, **more}, {"p_miss": p}, flags=flags
            )
    for mean, k, n in ((0.5, 0.5, 4), (0.3, 1, 10)):
        p = float(nbinom.pmf(0, n * k, k / (k + mean)))
        given = {"mean_per_unit": mean, "n_units": n, "k": k}
        v.answer(f"traps_{n}", f"{n} bait traps.", given, {"p_miss": p}, flags=("clumped",))
    given = {"mean_per_unit": 0.5, "n_units": 4}
    v.answer("traps_poisson", "The same without k.", given, {"p_miss": float(poisson.pmf(0, 2))})
    v.answer("none_there", "A clean bed.", {"per_ha": 0, **four}, {"p_miss": 1}, flags=("none",))
    v.refused("no_density", "Neither density nor mean.", {**four}, "/per_ha")
    v.answer(
        "traps_by_hand",
        "Half of what a trap holds is seen.",
        {"mean_per_unit": 0.6, "n_units": 5, "recovery": 0.5},
        {"p_miss": float(poisson.pmf(0, 1.5)), "mean_found_per_unit": 0.3},
        flags=("recovery",),
        says={"cautions": ["clump"]},
    )
    both = {"mean_per_unit": 0.5, "n_units": 4}
    v.refused("both_given", "Density and mean.", {**both, "per_ha": 5}, "/per_ha")
    v.refused(
        "needless_size", "A size has no part here.", {**both, "core_diameter_m": 0.1}, "/core_diameter_m"
    )
    v.refused("k_zero", "k must be above 0.", {"mean_per_unit": 1, "n_units": 4, "k": 0}, "/k")
    v.refused(
        "no_area", "A density without the size of a sample.", {"per_ha": 1, "n_units": 4}, "/unit_area_m2"
    )
    return v


def trap_thumb() -> Vectors:
    v = Vectors(
        "trap-thumb",
        source="common practice, no source: 20,000 per acre for each wireworm per bait trap",
        computed_with=f"{SCIPY} (stats.chi2); arithmetic of the rule",
        notes={
            "zero": "A nil catch is not a clean bed.",
            "rule": "3 per trap is 60,000 per acre, as the rule is told.",
        },
    )
    for caught, n, flags in ((7, 6, ()), (18, 6, ("rule",)), (0, 6, ("zero",)), (1, 1, ())):
        low = float(chi2.ppf(0.025, 2 * caught) / 2) if caught else 0.0
        per_acre = 20_000 * caught / n
        v.answer(
            f"{caught}_in_{n}",
            f"{caught} wireworms in {n} traps.",
            {"caught": caught, "n_traps": n},
            {
                "per_trap": caught / n,
                "low_per_trap": low / n,
                "high_per_trap": float(chi2.isf(0.025, 2 * caught + 2) / 2) / n,
                "per_acre": per_acre,
                "per_ha": per_acre * 1e4 / ACRE_M2,
            },
            flags=flags,
            says={"cautions": ["no regression"]},
        )
    v.refused("no_traps", "No traps.", {"caught": 3, "n_traps": 0}, "/n_traps")
    v.refused("half_caught", "Not a whole number.", {"caught": 1.5, "n_traps": 6}, "/caught")
    return v


FILES = {"density": density, "miss-chance": miss_chance, "trap-thumb": trap_thumb}
