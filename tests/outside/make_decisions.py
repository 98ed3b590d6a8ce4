"""Write fixtures/vectors/decisions/*.json anew: python tests/outside/make_decisions.py [--into FOLDER].

Whole decisions that server and phone must take alike. Minima, intervals and chances come from statsmodels and
scipy over the nights of the FAO book; damage temperatures are typed in from the published table. Nothing here
imports the product.
"""

import argparse
import json
import sys
from pathlib import Path
from typing import Any

import scipy
import statsmodels
from scipy.optimize import minimize_scalar

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE / "make_vectors"))

from nights import _kept, _stations, _tonight  # noqa: E402

FOLDER = HERE.parents[1] / "fixtures" / "vectors" / "decisions"

#: PMC10202904 Table 2, FAO ch. 4 and Illinois VC 14, as read: name in a person's words → °C, raised indoors.
DAMAGE: dict[str, tuple[float | None, bool]] = {
    "Tomatoes": (0.0, True),
    "Cucumber": (0.0, True),
    "Chilli pepper": (0.0, True),
    "Courgettes, yellow": (0.0, True),
    "Sweet potatoes": (0.0, True),
    "Second early potatoes": (0.0, False),
    "French beans": (0.0, False),
    "runner bean 'Scarlet'": (0.0, False),
    "Sweetcorn": (0.0, False),
    "Melon": (0.0, True),
    "Lettuce": (-2.0, True),
    "Peas": (-2.0, False),
    "Asparagus": (-2.0, False),
    "Swiss chard": (-20 / 9, False),
    "Celeriac": (-20 / 9, True),
    "Radishes": (-35 / 9, False),
    "Leeks": (-35 / 9, True),
    "Brussels sprouts": (-35 / 9, True),
    "Spring cabbage": (-4.0, True),
    "Curly kale": (-4.0, True),
    "Onion sets": (-4.0, False),
    "Garlic": (-4.0, False),
    "Early carrots": (-4.0, False),
    "Parsnips": (-4.0, False),
    "Winter lettuce": (-4.0, True),
    "Savoy cabbages": (-7.0, True),
    "Spinach": (-7.0, False),
    "Broad beans": (-7.0, False),
    "Oca": (None, False),
}


def crops() -> dict[str, Any]:
    cases = [
        {"in": {"kind": kind}, "out": {"critical_c": critical, "raised_indoors": indoors}}
        for kind, (critical, indoors) in DAMAGE.items()
    ]
    cases += [
        {"in": {"kind": "Cauliflower", "stage": "curd forming"}, "out": {"critical_c": -2.0}},
        {"in": {"kind": "Cauliflower"}, "out": {"critical_c": -4.0}},
        {"in": {"kind": "Strawberries", "stage": "in flower"}, "out": {"critical_c": -2.0}},
        {"in": {"kind": "Lettuce", "hardened": True}, "out": {"critical_c": -3.0}},
        {"in": {"kind": "Tomatoes", "hardened": True}, "out": {"critical_c": 0.0}},
    ]
    return {
        "decision": "crop damage temperature",
        "source": "PMC10202904 Table 2; Snyder & de Melo-Abreu 2005, FAO, ch. 4; University of Illinois VC 14",
        "cases": cases,
    }


#: What stands in the night of 10 May 2026: events of one crop → whether it stands.
STANDING: tuple[tuple[str, str, str, list[tuple[str, str]], dict[str, Any], bool], ...] = (
    ("planted out", "Tomatoes", "bed", [("2026-03-01", "sown"), ("2026-05-10", "planted")], {}, True),
    ("raised indoors", "Tomatoes", "bed", [("2026-03-01", "sown"), ("2026-04-10", "potted")], {}, False),
    ("sown in the tunnel", "Tomatoes", "tunnel", [("2026-03-01", "sown")], {}, True),
    ("sown in the open", "Carrots", "bed", [("2026-04-12", "sown")], {}, True),
    ("sown last week, nothing up", "Carrots", "bed", [("2026-05-05", "sown")], {}, False),
    ("planted tomorrow", "Lettuce", "bed", [("2026-05-11", "planted")], {}, False),
    ("potatoes without leaves yet", "Potatoes", "bed", [("2026-04-28", "planted")], {}, False),
    ("potatoes with shoots", "Potatoes", "bed", [("2026-04-20", "planted")], {}, True),
    ("chitting in the shed", "Potatoes", "shed", [("2026-02-10", "chitted")], {}, False),
    ("hardening off", "Squash", "frame", [("2026-04-01", "sown"), ("2026-05-08", "hardened")], {}, True),
    ("cleared", "Lettuce", "bed", [("2026-03-20", "planted")], {"ended_on": "2026-05-01"}, False),
    (
        "picked last week",
        "Lettuce",
        "bed",
        [("2026-03-20", "planted"), ("2026-05-03", "harvested")],
        {},
        True,
    ),
    ("picked over", "Lettuce", "bed", [("2026-03-01", "planted"), ("2026-04-01", "harvested")], {}, False),
    ("only begun", "Onion", "bed", [], {"started_on": "2026-03-24"}, True),
    ("begins later", "Onion", "bed", [], {"started_on": "2026-05-24"}, False),
    ("last year's", "Onion", "bed", [("2025-03-24", "planted")], {}, False),
    ("the bed is gone", "Onion", "gone", [("2026-03-24", "planted")], {}, False),
)


def standing() -> dict[str, Any]:
    """By the rules in words: what stands in the night that begins on 10 May 2026."""
    cases = []
    for comment, kind, place_id, events, more, stands in STANDING:
        crop = {"crop_id": "c", "kind": kind, "place_id": place_id, **more}
        crop["events"] = [{"on": on, "what": what} for on, what in events]
        cases.append({"id": comment, "in": {"crop": crop, "night": "2026-05-10"}, "out": {"stands": stands}})
    kinds = {"bed": "bed", "tunnel": "tunnel", "frame": "frame", "shed": "store"}
    return {
        "decision": "standing crops",
        "source": "common practice, no source",
        "kinds": kinds,
        "cases": cases,
    }


def _fit(method: str = "two_step") -> dict[str, Any]:
    drop = {**_kept("mean_drop"), "evening_coef": 1.0}
    return {**(_kept(method) if method != "mean_drop" else drop), "without_dew": drop}


def _crop(crop_id: str, kind: str, place_id: str | None, **more: Any) -> dict[str, Any]:
    return {"crop_id": crop_id, "kind": kind, "place_id": place_id, "stage": None, "hardened": False, **more}


def _place(
    method: str, evening: float, dew: float, place_id: str | None, rows: list[Any], offset: float, sd: float
) -> dict[str, Any]:
    limits = [critical for _, _, critical in rows if critical is not None]
    told = _tonight(method, evening, dew, limits, offset, sd, 0.95)
    chance = {one["critical_c"]: one["p"] for one in told["chances"]}
    return {
        "place_id": place_id,
        **{name: told[name] for name in ("min_c", "low_c", "high_c")},
        "offset_c": offset,
        "offset_sd_c": sd,
        "crops": [
            {"crop_id": crop_id, "kind": kind, "critical_c": c, "p": None if c is None else chance[c]}
            for crop_id, kind, c in rows
        ],
    }


def _case(
    name: str,
    comment: str,
    evening: dict[str, Any],
    crops: list[Any],
    places: list[dict[str, Any]],
    fires: tuple[bool, bool],
    *,
    method: str = "two_step",
    offsets: dict[str, Any] | None = None,
    settings: dict[str, Any] | None = None,
    seen: dict[str, float] | None = None,
    more: dict[str, Any] | None = None,
) -> dict[str, Any]:
    settings = {"cost": 4, "loss": 60, "at_c": None, **(settings or {})}
    used = method if evening["dew_c"] is not None else "mean_drop"
    dew = evening["evening_c"] if evening["dew_c"] is None else evening["dew_c"]
    open_air = _tonight(used, evening["evening_c"], dew, [], 0, 0, 0.95)
    chances = [crop["p"] for place in places for crop in place["crops"] if crop["p"] is not None]
    out = {name: open_air[name] for name in ("min_c", "low_c", "high_c")}
    out |= {"fitted_to_plot": True, "n_nights": 10, "places": places, "p": max(chances, default=None)}
    out |= {"threshold": settings["cost"] / settings["loss"], "by_chance": fires[0], "by_own": fires[1]}
    return {
        "id": name,
        "comment": comment,
        "in": {
            "learned": {"frost_fit": _fit(method), "offsets": offsets or {}},
            "evening": {"sky": "clear", "wind": "calm", **evening},
            "crops": crops,
            "settings": settings,
            "seen_c": seen or {},
            "air_frost": not crops,
        },
        "out": {**out, "fires": any(fires), **(more or {})},
    }


def frost() -> dict[str, Any]:
    lettuce, tomato = _crop("c1", "Lettuce", "bed"), _crop("c2", "Tomatoes", "tunnel")
    tunnel = {"tunnel": {"plan_with_c": -0.2, "sd_c": 0.57}}
    lettuce_row, tomato_row = ("c1", "Lettuce", -2.0), ("c2", "Tomatoes", 0.0)
    inside = {"evening_c": 5.0, "dew_c": -1.0}

    def both(evening: float, dew: float, method: str = "two_step") -> list[dict[str, Any]]:
        return [
            _place(method, evening, dew, "bed", [lettuce_row], 0.0, 0.0),
            _place(method, evening, dew, "tunnel", [tomato_row], -0.2, 0.57),
        ]

    reference = _place("two_step", 10, 2, None, [(None, "air frost", 0.0)], 0.0, 0.0)
    wet = {**inside, "sky": "overcast"}
    cases = [
        _case(
            "fao_reference",
            "Evening 10 °C, dew point 2 °C: −0.7409219 °C, printed with the R package frost.",
            {"evening_c": 10, "dew_c": 2},
            [],
            [reference],
            (True, False),
        ),
        _case("two_places", "A bed and a tunnel.", inside, [tomato, lettuce], both(5, -1), (True, False),
              offsets=tunnel),
        _case("overcast", "Chances are shown, nothing fires.", wet, [tomato, lettuce], both(5, -1), (False, False),
              offsets=tunnel, more={"clear": False}),
        _case("overcast_own", "Their own temperature fires.", wet, [tomato, lettuce], both(5, -1), (False, True),
              offsets=tunnel, settings={"at_c": 1.0}, more={"clear": False}),
        _case("nothing_to_lose", "A cost as high as the loss never pays.", inside, [tomato, lettuce], both(5, -1),
              (False, False), offsets=tunnel, settings={"cost": 60}),
        _case("no_dew", "Without a dew point the usual drop.", {"evening_c": 5.0, "dew_c": None}, [tomato, lettuce],
              both(5, 5, "mean_drop"), (True, False), offsets=tunnel),
        _case("joint", "Another method.", inside, [tomato, lettuce], both(5, -1, "joint"), (True, False),
              method="joint", offsets=tunnel),
        _case("unknown_crop", "A crop that nobody knows: air frost is asked.", inside, [_crop("c9", "Oca", "bed")], [
            _place("two_step", 5, -1, None, [(None, "air frost", 0.0)], 0.0, 0.0),
            _place("two_step", 5, -1, "bed", [("c9", "Oca", None)], 0.0, 0.0),
        ], (True, False), more={"unknown": ["Oca"]}),
        _dull(lettuce, lettuce_row),
        _seen(lettuce, lettuce_row),
        _turning("too_warm", 12.0, ("c3", "Spinach", -7.0)),
        _already(lettuce, lettuce_row),
        _public(),
    ]  # fmt: skip
    return {
        "decision": "frost",
        "source": "Snyder & de Melo-Abreu 2005, Frost protection, vol. 1, ch. 5, FAO; Murphy 1977 (cost and loss)",
        "computed_with": f"statsmodels {statsmodels.__version__}, scipy {scipy.__version__}",
        "tolerance": {"rel": 1e-9, "abs": 1e-12},
        "cases": cases,
    }


def _dull(lettuce: dict[str, Any], row: tuple[str, str, float]) -> dict[str, Any]:
    """Ten dull nights that fell by four degrees less than the clear ones of the book: their own usual drop."""
    place = _place("mean_drop", 3.0, 3.0, "bed", [row], 4.0, 0.0) | {"offset_c": 0.0}
    figures = {name: place[name] for name in ("min_c", "low_c", "high_c")}
    more = {**figures, "clear": False, "dull_fitted": True}
    fires = (bool(place["crops"][0]["p"] > 4 / 60), False)
    given = {"evening_c": 3.0, "dew_c": 0.0, "sky": "overcast"}
    case = _case("dull", "Overcast, from dull nights.", given, [lettuce], [place], fires, more=more)
    drop = _fit()["without_dew"]
    case["in"]["learned"]["frost_fit"]["dull"] = {**drop, "intercept": drop["intercept"] + 4.0}
    return case


def _seen(lettuce: dict[str, Any], row: tuple[str, str, float]) -> dict[str, Any]:
    """−5.5 °C was read before midnight: the minimum is that or lower, and harm is certain."""
    place = _place("two_step", 5, -1, "bed", [row], 0.0, 0.0)
    place |= {"min_c": min(place["min_c"], -5.5), "low_c": min(place["low_c"], -5.5), "high_c": -5.5}
    place["crops"][0]["p"] = 1.0
    bounds = {name: place[name] for name in ("min_c", "low_c", "high_c")}
    return _case("read_since", "What was read since bounds the minimum.", {"evening_c": 5.0, "dew_c": -1.0}, [lettuce],
                 [place], (True, False), seen={"": -5.5}, more=bounds)  # fmt: skip


def _already(lettuce: dict[str, Any], row: tuple[str, str, float]) -> dict[str, Any]:
    """A windy evening at −2.5 °C: no estimate is needed to know that lettuce is below its −2 °C."""
    place = _place("two_step", -2.5, -8.0, "bed", [row], 0.0, 0.0)
    place["crops"][0]["p"] = 1.0
    more = {"clear": False, "already": True}
    given = {"evening_c": -2.5, "dew_c": -8.0, "wind": "windy"}
    return _case("already", "Colder already than it bears, whatever the sky.", given, [lettuce], [place],
                 (True, False), more=more)  # fmt: skip


def _turning(name: str, evening: float, row: tuple[str, str, float]) -> dict[str, Any]:
    """So far outside the nights that the interval alone would raise the chance again: the least of any cooler one."""
    crop_id, kind, critical = row

    def chance(x: float) -> float:
        return float(_tonight("two_step", x, -8.0, [critical], 0, 0, 0.95)["chances"][0]["p"])

    found = minimize_scalar(chance, bounds=(3.0, evening), method="bounded", options={"xatol": 1e-10})
    p = float(found.fun)
    assert p < chance(evening) - 1e-6, (p, chance(evening))
    place = _place("two_step", evening, -8.0, "bed", [row], 0.0, 0.0)
    place["crops"][0]["p"] = p
    words = "Far outside the nights the chance stays where it would turn round."
    given = {"evening_c": evening, "dew_c": -8.0}
    return _case(name, words, given, [_crop(crop_id, kind, "bed")], [place], (p > 4 / 60, False))


def _public() -> dict[str, Any]:
    """Three nights of its own: four public stations, mean drop, spread and degrees of freedom."""
    told = _stations(6.0)
    numbers = {name: told[name] for name in ("min_c", "low_c", "high_c")}
    p = told["chances"][0]["p"]
    place = {"place_id": None, **numbers, "crops": [{"crop_id": None, "critical_c": 0.0, "p": p}]}
    case = _case(
        "not_fitted",
        "Before eight nights of its own.",
        {"evening_c": 6.0, "dew_c": 1.0},
        [],
        [place],
        (True, False),
    )
    case["in"]["learned"]["frost_fit"] = {"n": 3, "intercept": -4.0, "evening_coef": 1.0, "dew_coef": 0.0}
    case["out"] |= {**numbers, "fitted_to_plot": False, "n_nights": 3, "p": p}
    return case


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--into", type=Path, default=FOLDER)
    into = parser.parse_args().into
    for name, made in (("crops", crops()), ("standing", standing()), ("frost", frost())):
        (into / f"{name}.json").write_text(
            json.dumps(made, indent=1, ensure_ascii=False, allow_nan=False) + "\n", "utf-8"
        )


if __name__ == "__main__":
    main()
