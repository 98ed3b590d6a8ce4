"""Write fixtures/outside/metpy_moisture.json: moisture of air by MetPy, to hold `humidity` against.

MetPy brings some forty packages along, so it is not among the test dependencies. To make the file again::

    python -m venv /tmp/metpy && /tmp/metpy/bin/pip install metpy==1.7.1
    /tmp/metpy/bin/python tests/outside/make_metpy_moisture.py
"""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import metpy
from metpy.calc import (
    dewpoint_from_relative_humidity,
    psychrometric_vapor_pressure_wet,
    saturation_vapor_pressure,
    wet_bulb_temperature,
)
from metpy.units import units

TARGET = Path(__file__).parents[2] / "fixtures" / "outside" / "metpy_moisture.json"
AIRS_C = (-15, -5, 0, 2, 5, 10, 15, 20, 25, 30, 35)
HUMIDITIES_PERCENT = (20, 50, 70, 90, 100)


def main() -> None:
    rows = []
    pressure = 1013.25 * units.hPa
    for air_c, rh in itertools.product(AIRS_C, HUMIDITIES_PERCENT):
        air = air_c * units.degC
        dew = dewpoint_from_relative_humidity(air, rh * units.percent)
        wet = wet_bulb_temperature(pressure, air, dew)
        rows.append(
            {
                "air_c": air_c,
                "rh_percent": rh,
                "dew_c": float(dew.to("degC").magnitude),
                "wet_bulb_c": float(wet.to("degC").magnitude),
                "saturation_kpa": float(saturation_vapor_pressure(air).to("kPa").magnitude),
            }
        )
    wets = []
    for air_c, below in itertools.product((2, 10, 20, 30), (0, 1, 3, 5)):
        vapour = psychrometric_vapor_pressure_wet(
            pressure,
            air_c * units.degC,
            (air_c - below) * units.degC,
            psychrometer_coefficient=6.62e-4 / units.kelvin,
        )
        wets.append({"air_c": air_c, "wet_c": air_c - below, "vapour_kpa": float(vapour.to("kPa").magnitude)})
    told = {
        "computed_with": f"MetPy {metpy.__version__}",
        "licence": "facts; MetPy is BSD-3-Clause",
        "units": "°C, %, kPa; 1013.25 hPa; psychrometer coefficient 6.62e-4 per K",
        "note": "MetPy's wet bulb follows a saturated adiabat (thermodynamic), not a psychrometer.",
        "rows": rows,
        "wet": wets,
    }
    TARGET.write_text(json.dumps(told, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
