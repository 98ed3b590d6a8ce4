"""Is today right for watering in nematodes?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import Calculation, Param

COLDEST_C: Final = 5.0
WARM_C: Final = 20.0
HOTTEST_C: Final = 25.0
ACTIVE_DAYS: Final = 42
POND_M: Final = 3.0
FIRST_MONTH, LAST_MONTH = 3, 10


@dataclass(frozen=True)
class ApplicationCheck:
    """The verdict: ``go``, ``wait`` (it will come right) or ``no`` (not under these conditions)."""

    verdict: str
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]


def application_check(
    soil_c: float,
    moisture: str,
    days_since_last: float | None = None,
    under_cover: bool = False,
    month: int | None = None,
    metres_to_water: float | None = None,
) -> ApplicationCheck:
    """Hold today's conditions against what is published for slug nematodes.

    Parameters
    ----------
    soil_c
        Soil temperature [°C].
    moisture
        ``dry``, ``damp`` or ``wet`` soil.
    days_since_last
        Days since the last application [d]; None for never.
    under_cover
        In a tunnel or frame, where the season of the open ground does not bind.
    month
        Month [1 to 12]; None leaves the season unchecked.
    metres_to_water
        Distance to the nearest pond [m]; None for none near.

    Returns
    -------
    ApplicationCheck

    Notes
    -----
    ``no``: soil below 5 °C or above 25 °C, dry soil, a pond nearer than 3 m, outdoors from November to
    February. ``wait``: soil above 20 °C; fewer than 42 days since the last application (still active).
    Otherwise ``go``. The stronger verdict wins; every reason is given.

    References
    ----------
    UK suppliers' leaflets (5 to 20 °C, 1 March to 31 October outdoors, about six weeks, 3 m from ponds, moist
    soil). Above 25 °C: laboratory efficacy poorest at 25 °C.

    Examples
    --------
    >>> application_check(5.0, "damp").verdict
    'go'
    """
    no: list[str] = []
    wait: list[str] = []
    if soil_c < COLDEST_C:
        no.append(f"The soil is {soil_c:g} °C; they need at least {COLDEST_C:g} °C.")
    elif soil_c > HOTTEST_C:
        no.append(f"The soil is {soil_c:g} °C; above {HOTTEST_C:g} °C they fail.")
    elif soil_c > WARM_C:
        wait.append(
            f"The soil is {soil_c:g} °C; above {WARM_C:g} °C they work poorly: wait for a cooler spell."
        )
    if moisture == "dry":
        no.append(
            "The soil is dry: water it well first, and keep it moist for two weeks after (from memory)."
        )
    if metres_to_water is not None and metres_to_water < POND_M:
        no.append(f"A pond is {metres_to_water:g} m away; keep {POND_M:g} m, for the sake of water snails.")
    if month is not None and not under_cover and not FIRST_MONTH <= month <= LAST_MONTH:
        no.append("Outdoors the season is March to October.")
    if days_since_last is not None and days_since_last < ACTIVE_DAYS:
        wait.append(
            f"The last application, {days_since_last:g} days ago, is still active; it lasts about six weeks."
        )
    verdict = "no" if no else "wait" if wait else "go"
    reasons = (*no, *wait) or ("Soil warmth, moisture and timing are right.",)
    cautions = (
        "Water in at dusk or on a dull day, dissolve and use at once; follow the label.",
        "Gloves; wash hands; keep children and dogs away until it has soaked in.",
    )
    return ApplicationCheck(verdict, reasons, cautions)


CALCULATION = Calculation(
    name="application-check",
    question="Is today right for watering in nematodes?",
    source="UK suppliers' leaflets on slug nematodes (5 to 20 °C, March to October, 6 weeks, 3 m from ponds)",
    method="limits, the strongest verdict wins",
    params=(
        Param("soil_c", "number", unit="°C", low=-60, high=80, doc="Soil temperature."),
        Param("moisture", "choice", choices=("dry", "damp", "wet"), doc="How moist the soil is."),
        Param(
            "days_since_last",
            "number",
            required=False,
            default=None,
            unit="days",
            low=0,
            high=100_000,
            doc="Days since the last application, null for never.",
        ),
        Param("under_cover", "boolean", required=False, default=False, doc="In a tunnel or frame."),
        Param("month", "integer", required=False, default=None, low=1, high=12, doc="Month, 1 to 12."),
        Param(
            "metres_to_water",
            "number",
            required=False,
            default=None,
            unit="m",
            low=0,
            high=1e6,
            doc="Distance to the nearest pond, null for none near.",
        ),
    ),
    run=application_check,
    example={"soil_c": 12, "moisture": "damp", "days_since_last": 30, "month": 5},
    returns={"verdict": "go, wait or no", "reasons": "every reason, the strongest first"},
    rules=(
        "5.0 °C is warm enough, 4.9 °C is not; above 20 °C wait, above 25 °C no.",
        "42 days after the last application is no longer too soon.",
        "A pond at 3 m is far enough.",
    ),
)
