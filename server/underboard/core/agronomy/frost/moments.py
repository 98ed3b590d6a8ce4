"""The sums a frost fit needs, so that leaving one night out costs no second pass over the nights."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, NamedTuple

METHODS: Final = ("two_step", "joint", "evening_only", "mean_drop")
#: Coefficients each method estimates.
N_COEFFICIENTS: Final = {"two_step": 3, "joint": 3, "evening_only": 2, "mean_drop": 1}
USES_DEW: Final = ("two_step", "joint")
#: Below this share of their product two sums of squares count as one straight line.
_COLLINEAR: Final = 1e-9


class Night(NamedTuple):
    """One clear night: evening temperature, dew point then, and the lowest temperature that came [°C]."""

    evening_c: float
    dew_c: float
    min_c: float


class Line(NamedTuple):
    """``min = intercept + evening evening_c + dew dew_c``."""

    intercept: float
    evening: float
    dew: float

    def at(self, evening_c: float, dew_c: float) -> float:
        """The lowest temperature the line gives [°C]."""
        return self.intercept + self.evening * evening_c + self.dew * dew_c


@dataclass(frozen=True)
class Moments:
    """Sums and sums of products of evening x, dew point d and minimum y, about fixed origins."""

    n: int
    origin: Night
    x: float
    d: float
    y: float
    xx: float
    dd: float
    xd: float
    xy: float
    dy: float

    @classmethod
    def of(cls, nights: Iterable[Night]) -> Moments:
        """Gather the sums, about the means so that nothing is lost to rounding."""
        known = list(nights)
        n = len(known)
        origin = Night(*(math.fsum(column) / n for column in zip(*known, strict=True)))
        shifted = [(u - origin[0], v - origin[1], w - origin[2]) for u, v, w in known]
        return cls(
            n,
            origin,
            math.fsum(u for u, _, _ in shifted),
            math.fsum(v for _, v, _ in shifted),
            math.fsum(w for _, _, w in shifted),
            math.fsum(u * u for u, _, _ in shifted),
            math.fsum(v * v for _, v, _ in shifted),
            math.fsum(u * v for u, v, _ in shifted),
            math.fsum(u * w for u, _, w in shifted),
            math.fsum(v * w for _, v, w in shifted),
        )

    def without(self, night: Night) -> Moments:
        """The same sums with one night left out."""
        u, v, w = night[0] - self.origin[0], night[1] - self.origin[1], night[2] - self.origin[2]
        return Moments(
            self.n - 1,
            self.origin,
            self.x - u,
            self.d - v,
            self.y - w,
            self.xx - u * u,
            self.dd - v * v,
            self.xd - u * v,
            self.xy - u * w,
            self.dy - v * w,
        )

    def squares(self) -> tuple[float, float, float]:
        """Sums of squares about the mean: evening, dew point, and of their products [°C²]."""
        n = self.n
        return (
            self.xx - self.x * self.x / n,
            self.dd - self.d * self.d / n,
            self.xd - self.x * self.d / n,
        )

    def line(self, method: str) -> Line | None:
        """Fit one method; None when the nights cannot carry it (too few, or all alike)."""
        n = self.n
        if n < N_COEFFICIENTS[method]:
            return None
        mean_x, mean_d, mean_y = (self.x / n, self.d / n, self.y / n)
        if method == "mean_drop":
            return self._back(Line(mean_y - mean_x, 1.0, 0.0))
        sxx, sdd, sxd = self.squares()
        sxy, sdy = self.xy - self.x * self.y / n, self.dy - self.d * self.y / n
        if sxx <= _COLLINEAR * n:
            return None
        evening, dew = sxy / sxx, 0.0
        if method == "two_step":
            if sdd <= _COLLINEAR * n:
                return None
            dew = (sdy - evening * sxd) / sdd
        elif method == "joint":
            area = sxx * sdd - sxd * sxd
            if area <= _COLLINEAR * sxx * max(sdd, _COLLINEAR):
                return None
            evening, dew = (sxy * sdd - sdy * sxd) / area, (sdy * sxx - sxy * sxd) / area
        return self._back(Line(mean_y - evening * mean_x - dew * mean_d, evening, dew))

    def _back(self, line: Line) -> Line:
        """The same line for temperatures that are not shifted."""
        start = self.origin.min_c + line.intercept
        shift = line.evening * self.origin.evening_c + line.dew * self.origin.dew_c
        return Line(start - shift, line.evening, line.dew)


def leave_one_out(nights: Iterable[Night], moments: Moments, method: str) -> float | None:
    """Root mean square error of each night foretold from all the others [°C]; None when one cannot be."""
    squares: list[float] = []
    for night in nights:
        if moments.n < 2:
            return None
        line = moments.without(night).line(method)
        if line is None:
            return None
        squares.append((night.min_c - line.at(night.evening_c, night.dew_c)) ** 2)
    return math.sqrt(math.fsum(squares) / len(squares)) if squares else None
