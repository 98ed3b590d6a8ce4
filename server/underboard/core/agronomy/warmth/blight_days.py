"""On which days was the weather right for potato blight?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from underboard.core.agronomy.contract import Calculation, Param

LOWEST_C: Final = 10.0
FEWEST_HOURS: Final = 6.0


@dataclass(frozen=True)
class BlightDays:
    """Days on which the criteria were met.

    Attributes
    ----------
    met
        0-based index of each second day of a pair.
    n_missing
        Days without both figures.
    """

    met: tuple[int, ...]
    n_missing: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def blight_days(days: Sequence[Mapping[str, Any]]) -> BlightDays:
    """Find the days on which the Hutton criteria were met.

    Parameters
    ----------
    days
        Consecutive days, oldest first, each with ``min_c`` (lowest air temperature [°C]) and ``hours_rh_90``
        (hours with relative humidity of 90 % or more [h, 0 to 24]); either may be None.

    Returns
    -------
    BlightDays

    Notes
    -----
    Met on a day when that day and the day before both had a minimum of at least 10 °C and at least six hours
    at 90 % or more. The index is that of the second day. A day with a missing figure meets nothing.

    References
    ----------
    Hutton criteria, James Hutton Institute and AHDB 2017 (from memory).

    Examples
    --------
    >>> day = {"min_c": 11, "hours_rh_90": 7}
    >>> blight_days([day, day, {"min_c": 9, "hours_rh_90": 9}]).met
    (1,)
    """
    suits: list[bool] = []
    n_missing = 0
    for day in days:
        low_c, hours = day.get("min_c"), day.get("hours_rh_90")
        if low_c is None or hours is None:
            n_missing += 1
            suits.append(False)
        else:
            suits.append(low_c >= LOWEST_C and hours >= FEWEST_HOURS)
    met = tuple(i for i in range(1, len(suits)) if suits[i - 1] and suits[i])
    why_not: tuple[str, ...] = ()
    if len(days) < 2:
        why_not = ("The criteria need two days that follow each other.",)
    elif n_missing:
        why_not = (f"Days with a missing figure: {n_missing}. Blight weather may have been missed.",)
    cautions = ("Blight weather is not blight: look at the leaves. Humidity on the plot can differ.",)
    return BlightDays(met, n_missing, why_not, cautions)


CALCULATION = Calculation(
    name="blight-days",
    question="On which days was the weather right for potato blight?",
    source="Hutton criteria, James Hutton Institute and AHDB 2017 (from memory)",
    method="two days running, each at least 10 °C all day and at least 6 h at 90 % humidity or more",
    params=(
        Param(
            "days",
            "objects",
            max_len=100_000,
            doc="Consecutive days, oldest first.",
            fields=(
                Param(
                    "min_c",
                    "number",
                    required=False,
                    unit="°C",
                    low=-100,
                    high=100,
                    doc="Lowest air temperature.",
                ),
                Param(
                    "hours_rh_90",
                    "number",
                    required=False,
                    unit="h",
                    low=0,
                    high=24,
                    doc="Hours at 90 % or more.",
                ),
            ),
        ),
    ),
    run=blight_days,
    example={"days": [{"min_c": 11, "hours_rh_90": 7}, {"min_c": 10, "hours_rh_90": 6}]},
    returns={
        "met": "0-based index of the second day of each pair",
        "n_missing": "days with a missing figure",
    },
    rules=(
        "The index is that of the second day of the pair.",
        "A day with a missing figure meets nothing, and why_not counts such days.",
    ),
)
