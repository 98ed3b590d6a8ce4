"""A picture over time: points with their intervals, treatments and a line such as freezing marked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Final

from underboard.exchange.report.parts import Dot, Drawing, Label, Line, Shape
from underboard.exchange.report.tongue import ENGLISH, Tongue

WIDTH: Final = 640.0
HEIGHT: Final = 220.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 12.0, 24.0, 26.0
INK: Final = "#1f1a14"
FAINT: Final = "#cfc3ab"
#: Told apart by dark and light too, not by hue alone.
COLOURS: Final = ("#6b2d12", "#1d6fa3", "#b4530a", "#4b6b1d")


@dataclass(frozen=True)
class Point:
    """One value on one day, with its interval where there is one (`high` None: no upper end)."""

    day: date
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Series:
    """Points of one colour."""

    name: str
    points: tuple[Point, ...]


def time_chart(
    series: Sequence[Series],
    unit: str,
    *,
    marks: Sequence[tuple[date, str]] = (),
    level: tuple[float, str] | None = None,
    from_zero: bool = True,
    tongue: Tongue = ENGLISH,
) -> Drawing | None:
    """Draw series over days; None when there is nothing to draw.

    Parameters
    ----------
    unit
        Unit of the values, for the axis.
    marks
        Days to mark with a short word, such as treatments.
    level
        A value to draw a line at, with its word, such as (0, "freezing").
    from_zero
        Begin the axis at 0; counts and rates do, temperatures do not.
    tongue
        Whose months and decimal sign stand at the axes.
    """
    points = [point for one in series for point in one.points]
    if not points:
        return None
    values = [
        value for point in points for value in (point.value, point.low, point.high) if value is not None
    ]
    if level is not None:
        values.append(level[0])
    low, high, step = _axis(min([0.0, *values] if from_zero else values), max(values))
    first, last = min(point.day for point in points), max(point.day for point in points)
    frame = _Frame(first, max((last - first).days, 1), low, high)
    shapes: list[Shape] = [*_grid(frame, low, high, step, tongue), *_days(frame, first, last, tongue)]
    shapes.append(Label(4, 14, unit, 11, "start", INK))
    if level is not None:
        y = frame.y(level[0])
        shapes += [
            Line(_LEFT, y, WIDTH - _RIGHT, y, COLOURS[1], 1.2),
            Label(WIDTH - _RIGHT, y - 4, level[1], 10, "end"),
        ]
    for day, word in marks:
        if first <= day <= last:
            x = frame.x(day)
            shapes += [
                Line(x, _TOP, x, HEIGHT - _BOTTOM, COLOURS[3], 1, True),
                Label(x + 3, _TOP + 8, word, 9),
            ]
    for number, one in enumerate(series):
        shapes += _series(frame, one, COLOURS[number % len(COLOURS)])
    if len(series) > 1:
        shapes += _legend(series)
    return Drawing(WIDTH, HEIGHT, tuple(shapes))


@dataclass(frozen=True)
class _Frame:
    first: date
    days: int
    low: float
    high: float

    def x(self, day: date) -> float:
        return round(_LEFT + (day - self.first).days / self.days * (WIDTH - _LEFT - _RIGHT), 1)

    def y(self, value: float) -> float:
        share = (min(value, self.high) - self.low) / (self.high - self.low)
        return round(HEIGHT - _BOTTOM - share * (HEIGHT - _TOP - _BOTTOM), 1)


def _axis(low: float, high: float) -> tuple[float, float, float]:
    """Ends and step of an axis at round numbers: about four steps of 1, 2 or 5 times a power of ten."""
    if high <= low:
        high = low + 1
    rough = (high - low) / 4
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * 0.999)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step, step


def _grid(frame: _Frame, low: float, high: float, step: float, tongue: Tongue) -> list[Shape]:
    shapes: list[Shape] = []
    for number in range(round((high - low) / step) + 1):
        value = low + number * step
        y = frame.y(value)
        shapes += [
            Line(_LEFT, y, WIDTH - _RIGHT, y, FAINT, 0.6),
            Label(_LEFT - 5, y + 3.5, tongue.number(f"{value:g}"), 10, "end"),
        ]
    return shapes


def _days(frame: _Frame, first: date, last: date, tongue: Tongue) -> list[Shape]:
    span = (last - first).days
    if span > 120:
        months = max(1, span // 240)
        days = [first.replace(day=1)]
        while days[-1] <= last:
            month = days[-1].month - 1 + months
            days.append(date(days[-1].year + month // 12, month % 12 + 1, 1))
    else:
        every = max(1, math.ceil(span / 7))
        days = [first + timedelta(days=n) for n in range(0, span + 1, every)]
    shapes: list[Shape] = []
    for day in days:
        if first <= day <= last:
            x = frame.x(day)
            word = tongue.months_short[day.month - 1] if span > 120 else tongue.short_day(day)
            shapes += [
                Line(x, HEIGHT - _BOTTOM, x, HEIGHT - _BOTTOM + 4, INK, 0.8),
                Label(x, HEIGHT - _BOTTOM + 16, word, 10, "middle"),
            ]
    return shapes


def _series(frame: _Frame, one: Series, colour: str) -> list[Shape]:
    shapes: list[Shape] = []
    points = sorted(one.points, key=lambda point: point.day)
    for point in points:
        if point.low is not None:
            top = frame.high if point.high is None else point.high
            shapes.append(
                Line(frame.x(point.day), frame.y(point.low), frame.x(point.day), frame.y(top), colour, 1.4)
            )
    for before, after in pairwise(points):
        # A gap of more than a fortnight is a gap, and no line is drawn over it.
        if (after.day - before.day).days <= 14:
            shapes.append(
                Line(
                    frame.x(before.day),
                    frame.y(before.value),
                    frame.x(after.day),
                    frame.y(after.value),
                    colour,
                    0.9,
                )
            )
    shapes += [Dot(frame.x(point.day), frame.y(point.value), 2.6, colour) for point in points]
    return shapes


def _legend(series: Sequence[Series]) -> list[Shape]:
    shapes: list[Shape] = []
    x = 90.0
    for number, one in enumerate(series):
        shapes += [Dot(x, 11, 3.5, COLOURS[number % len(COLOURS)]), Label(x + 7, 14.5, one.name, 10)]
        x += 30 + 6 * len(one.name)
    return shapes
