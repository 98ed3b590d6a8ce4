"""Is the soil warm enough to sow or plant?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.agronomy.warmth.crops import DAYS_TO_EMERGE, LOWEST_SOIL_F, lowest_soil_c
from underboard.core.agronomy.warmth.emergence import emergence


@dataclass(frozen=True)
class SoilWindow:
    """Whether the soil is warm enough.

    Attributes
    ----------
    mean_c
        Mean of the last days [°C].
    base_c
        Lowest soil temperature for the crop [°C].
    open
        Warm enough (potato: and rising); None when days are missing.
    rising
        The straight line through the last days goes up; None with fewer than two days.
    days_to_emerge
        Days to emerge if it stays at `mean_c` [d].
    """

    mean_c: float | None
    base_c: float
    open: bool | None
    rising: bool | None
    days_to_emerge: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def soil_window(crop: str, soil_c: Sequence[float | None], days: int = 5) -> SoilWindow:
    """Compare the last days of soil temperature with what a crop needs.

    Parameters
    ----------
    crop
        One of the crops of the table of lowest soil temperatures.
    soil_c
        Daily soil temperature at 10 cm, read at the same hour (09:00 is customary), oldest first
        [°C, -20 to 50]; None where missing.
    days
        How many of the last days count [1 to 60].

    Returns
    -------
    SoilWindow

    Notes
    -----
    Open when the mean of the last `days` days is at or above the lowest soil temperature. Potatoes also
    want the soil to be rising ("7 to 8 °C and rising"). One missing day among them withholds the verdict.

    References
    ----------
    Oregon State University extension, soil temperature conditions for vegetable seed germination (lowest
    temperatures, whole °F). Potato 45 °F: second hand. "Rising", "several days": common practice, no source.

    Examples
    --------
    >>> soil_window("pea", [4, 5, 5, 6, 6]).open
    True
    """
    base_c = lowest_soil_c(crop)
    window = list(soil_c[-days:])
    known = [(i, value) for i, value in enumerate(window) if value is not None]
    mean_c = sum(value for _, value in known) / len(known) if known else None
    rising = _slope(known) > 0 if len(known) >= 2 else None
    why_not: list[str] = []
    is_open: bool | None = None
    if mean_c is None or len(known) < days:
        why_not.append(f"There are readings for {len(known)} of the last {days} days; all are needed.")
    else:
        is_open = mean_c >= base_c and (crop != "potato" or rising is not False)
    days_to_emerge, said = _emergence(crop, mean_c)
    cautions = ["A late cold spell can close the window again; look at the forecast."]
    if crop == "potato" and days == 1:
        cautions.append("One day cannot show whether the soil is rising, as potatoes want.")
    return SoilWindow(mean_c, base_c, is_open, rising, days_to_emerge, tuple(why_not + said), tuple(cautions))


def _emergence(crop: str, mean_c: float | None) -> tuple[float | None, list[str]]:
    if mean_c is None:
        return None, ["No days to emerge without a soil temperature."]
    if crop not in DAYS_TO_EMERGE:
        return None, [f"No published days to emerge for {crop}."]
    found = emergence(crop, mean_c)
    return found.days, [] if found.days is not None else [found.why_not[0]]


def _slope(points: Sequence[tuple[int, float]]) -> float:
    middle = sum(i for i, _ in points) / len(points)
    mean = sum(value for _, value in points) / len(points)
    across = sum((i - middle) * (value - mean) for i, value in points)
    return across / sum((i - middle) ** 2 for i, _ in points)


CALCULATION = Calculation(
    name="soil-window",
    question="Is the soil warm enough to sow or plant?",
    source="Oregon State University extension, after Harrington & Minges 1954; potato 45 °F second hand",
    method="mean of the last days against the lowest soil temperature of the crop; potato also rising",
    params=(
        Param("crop", "choice", choices=tuple(LOWEST_SOIL_F), doc="The crop."),
        Param(
            "soil_c",
            "numbers_or_null",
            unit="°C",
            low=-20,
            high=50,
            max_len=10_000,
            doc="Daily soil temperature at 10 cm, oldest first.",
        ),
        Param(
            "days",
            "integer",
            required=False,
            default=5,
            unit="days",
            low=1,
            high=60,
            doc="How many of the last days count.",
        ),
    ),
    run=soil_window,
    example={"crop": "pea", "soil_c": [3.9, 4.4, 5.0, 5.2, 5.8, 6.1], "days": 5},
    returns={
        "mean_c": "mean of the last days [°C]",
        "base_c": "lowest soil temperature for the crop [°C]",
        "open": "warm enough; null when days are missing",
        "rising": "whether the last days go up",
        "days_to_emerge": "days to emerge if it stays so warm",
    },
    rules=(
        "One missing day among the last days withholds the verdict.",
        "Potatoes want 7.2 °C and a rising soil (common practice, no source).",
    ),
)
