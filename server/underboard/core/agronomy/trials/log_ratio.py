"""A ratio of numbers with and without treatment, and how sure it is, on the log scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

# Added to every count for the interval when one of them is 0 (Haldane 1956, Anscombe 1956).
HALF = 0.5


@dataclass(frozen=True)
class LogRatio:
    """A ratio with the standard error of its logarithm.

    Attributes
    ----------
    ratio
        With over without treatment; None when undefined.
    centre
        Where the interval of the log ratio is centred; differs from log `ratio` only when a count is 0.
    se
        Standard error of the log ratio; None when there is no interval.
    """

    ratio: float | None
    centre: float | None
    se: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def log_ratio(self) -> float | None:
        """Natural logarithm of the ratio; None for 0 and where undefined."""
        return math.log(self.ratio) if self.ratio else None

    def limits(self, level: float) -> tuple[float | None, float | None]:
        """Limits of the ratio."""
        if self.centre is None or self.se is None:
            return None, None
        from scipy.special import ndtri

        reach = -float(ndtri((1 - level) / 2)) * self.se
        low, high = self.centre - reach, self.centre + reach
        lower = 0.0 if self.ratio == 0 else math.exp(low)
        return lower, math.exp(high) if high < 700 else None


def of_counts(
    treated_after: float,
    control_after: float,
    treated_before: float | None,
    control_before: float | None,
    dispersion: float,
) -> LogRatio:
    """Ratio of counts: after alone (Abbott), or after over before (Henderson-Tilton, BACI)."""
    used = [treated_after, control_after]
    if treated_before is not None and control_before is not None:
        used += [treated_before, control_before]
        if treated_before == 0:
            return _undefined("Nothing was counted before where treated, so no change can be worked out.")
        if control_after == 0:
            return _undefined("Nothing was left in the control, so there is nothing to compare with.")
        # One division after the other, so that no product over- or underflows.
        ratio = treated_after / treated_before * control_before / control_after
    else:
        if control_after == 0:
            return _undefined("Nothing was left in the control, so there is nothing to compare with.")
        ratio = treated_after / control_after
    if control_before == 0:
        return _undefined("Nothing was counted in the control before, so its change cannot be worked out.")
    cautions = _count_cautions(used, dispersion)
    if treated_after == 0:
        used = [count + HALF for count in used]
        cautions.append("Nothing was left where treated; the interval adds a half to every count.")
    centre = math.log(used[0]) - math.log(used[1])
    if len(used) == 4:
        centre += math.log(used[3]) - math.log(used[2])
    se = math.sqrt(dispersion * math.fsum(1 / count for count in used))
    why_not = _zero_words(ratio)
    if centre + 40 * se > 700:
        why_not += ("The counts are so small that the interval has no upper end.",)
    return LogRatio(ratio, centre, se, why_not, tuple(cautions))


def of_survival(
    alive_treated: float,
    alive_control: float,
    n_treated: int | None,
    n_control: int | None,
    dispersion: float,
) -> LogRatio:
    """Ratio of the shares alive [0 to 1]; the interval needs the numbers behind the shares."""
    if alive_control == 0:
        return _undefined("All died in the control, so there is nothing to compare with.")
    ratio = alive_treated / alive_control
    if n_treated is None or n_control is None:
        why = "Percentages alone carry no interval; give n_treated and n_control."
        return LogRatio(ratio, None, None, (why, *_zero_words(ratio)), ())
    if ratio == 0:
        why = "All treated died, so the interval of the ratio is undefined; use proportion for its limit."
        return LogRatio(ratio, None, None, (why,), ())
    square = (1 - alive_treated) / alive_treated / n_treated + (1 - alive_control) / alive_control / n_control
    se = math.sqrt(dispersion * square)
    why_not = ("The shares are so small that the interval has no upper end.",) if se > 15 else ()
    return LogRatio(ratio, math.log(alive_treated) - math.log(alive_control), se, why_not, ())


def _zero_words(ratio: float) -> tuple[str, ...]:
    return ("The ratio is 0, so its logarithm is undefined.",) if ratio == 0 else ()


def _undefined(why: str) -> LogRatio:
    return LogRatio(None, None, None, (why,), ())


def _count_cautions(used: list[float], dispersion: float) -> list[str]:
    cautions = []
    if dispersion == 1:
        cautions.append(
            "The interval takes the counts as scattering by chance alone; slugs clump, so it is too narrow. "
            "Give the dispersion that compare reports."
        )
    if any(count != int(count) for count in used):
        cautions.append("Some counts are fractions: the interval holds for totals, not for means.")
    if min(used) < 5:
        cautions.append("A count below 5 makes the interval rough.")
    return cautions
