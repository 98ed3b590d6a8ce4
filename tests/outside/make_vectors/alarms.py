"""Vectors of the boards method of surge.

The method is our own, so no table is printed anywhere. Two kinds of case stand in: boards that never vary, where
every part of the limit has a closed form, and ordinary seasons by a second implementation, written in plain
loops from the description of the method, with the quantiles of scipy.
"""

from random import Random
from statistics import median
from typing import Any

import scipy
from scipy.stats import gamma, norm
from scipy.stats import t as student
from writing import Vectors

SCIPY = f"scipy {scipy.__version__}"
ALPHA = 0.0115
Row = list[int | None]


def _cells(rounds: list[Row]) -> list[tuple[int, int, int]]:
    return [(s, b, x) for s, row in enumerate(rounds) for b, x in enumerate(row) if x is not None]


class Learned:
    """Usual count of each board, scatter, swing, rounds behind them, degrees of freedom of the scatter."""

    def __init__(self, rounds: list[Row]) -> None:
        self.cells, self.n, self.boards = _cells(rounds), len(rounds), len(rounds[0])
        self.totals = [sum(x or 0 for x in row) for row in rounds]
        self.weight = self._first_weights()
        self.scatter, self.free, self.swing = 0.0, 1.0, 0.0
        self.usual: list[float] | None = None
        for _ in range(4):
            own, nights = self._effects()
            self._find_scatter(own, nights, self.usual or own)
            self.usual = self._drawn(nights)
            self._find_swing(self.usual)
        if not any(self.totals):
            self.usual = [0.5 / len(self.cells)] * self.boards

    def _first_weights(self) -> list[float]:
        self.weight = [1.0] * self.n
        own, _ = self._effects()
        expected = [0.0] * self.n
        for s, b, _ in self.cells:
            expected[s] += own[b]
        nights = [t / max(e, 1e-9) for t, e in zip(self.totals, expected, strict=True)]
        middle = median(nights)
        level = middle * sum(expected) / self.n
        if level <= 0:
            return self.weight
        spread = 1.4826 * median(abs(a - middle) for a in nights)
        spread = max(spread, middle * (0.1 + 1 / level) ** 0.5)
        return [min(1.0, (3 * spread / (a - middle)) ** 8) if a > middle else 1.0 for a in nights]

    def _effects(self) -> tuple[list[float], list[float]]:
        nights, own = [1.0] * self.n, [0.0] * self.boards
        for _ in range(5):
            seen, turned = [0.0] * self.boards, [0.0] * self.boards
            for s, b, x in self.cells:
                seen[b] += self.weight[s] * x
                turned[b] += self.weight[s] * nights[s]
            overall = sum(seen) / max(sum(turned), 1e-9)
            own = [seen[b] / turned[b] if turned[b] > 0 else overall for b in range(self.boards)]
            expected = [0.0] * self.n
            for s, b, _ in self.cells:
                expected[s] += own[b]
            nights = [self.totals[s] / expected[s] if expected[s] > 0 else 1.0 for s in range(self.n)]
            mean = sum(w * a for w, a in zip(self.weight, nights, strict=True)) / sum(self.weight)
            if mean <= 0:
                return own, [1.0] * self.n
            nights = [a / mean for a in nights]
        return own, nights

    def _find_scatter(self, own: list[float], nights: list[float], usual: list[float]) -> None:
        boards = len({b for _, b, _ in self.cells})
        self.free = max(len(self.cells) - self.n - boards + 1, 0)
        square = sum(self.weight[s] * usual[b] ** 2 for s, b, _ in self.cells) * (1 + self.swing)
        if not self.free or square <= 0:
            self.scatter, self.free = 0.0, 1.0
            return
        left = sum(self.weight[s] * (x - nights[s] * own[b]) ** 2 for s, b, x in self.cells)
        mean = sum(self.weight[s] * nights[s] * own[b] for s, b, _ in self.cells)
        self.scatter = max((left * len(self.cells) / self.free - mean) / square, 0.0)

    def _drawn(self, nights: list[float]) -> list[float]:
        seen, turned = [0.0] * self.boards, [0.0] * self.boards
        for s, b, x in self.cells:
            seen[b] += self.weight[s] * x
            turned[b] += self.weight[s] * nights[s]
        overall = sum(seen) / max(sum(turned), 1e-9)
        wide = 1 + self.scatter * overall
        chance = [t * overall for t in turned]
        squares = sum((seen[b] - e) ** 2 - e * wide for b, e in enumerate(chance))
        if self.boards > 1:
            squares *= self.boards / (self.boards - 1)
        variance = max(squares / max(sum(e * e for e in chance), 1e-9), 0.0)
        prior = 1 / max(variance, 1e-6)
        return [overall * (prior + seen[b] / wide) / (prior + e / wide) for b, e in enumerate(chance)]

    def _find_swing(self, usual: list[float]) -> None:
        raw = sum(self.weight[s] * usual[b] for s, b, _ in self.cells)
        level = sum(w * t for w, t in zip(self.weight, self.totals, strict=True)) / max(raw, 1e-9)
        usual[:] = [u * level for u in usual]
        expected, between = [0.0] * self.n, [0.0] * self.n
        for s, b, _ in self.cells:
            expected[s] += usual[b]
            between[s] += self.scatter * usual[b] ** 2
        worth = sum(self.weight)
        square = sum(w * e * e for w, e in zip(self.weight, expected, strict=True))
        self.swing = 0.1
        if worth > 1 and square > 0:
            beyond = sum(
                w * ((t - e) ** 2 * worth / (worth - 1) - e - v)
                for w, t, e, v in zip(self.weight, self.totals, expected, between, strict=True)
            )
            self.swing = max((0.3 + (worth - 1) * beyond / square) / (3 + worth - 1), 0.0)
        for s in range(self.n):
            e, spread = expected[s], expected[s] + between[s] + self.swing * expected[s] ** 2
            z = (self.totals[s] - e) / max(spread, 1e-9) ** 0.5
            self.weight[s] = min(1.0, (3 / z) ** 8) if z > 3 else 1.0

    def limit(self, rows: list[Row], alpha: float) -> tuple[float, float]:
        """Expected total of the last row, and what the rows together exceed with chance alpha."""
        assert self.usual is not None
        usual = [[self.usual[b] for b, x in enumerate(row) if x is not None] for row in rows]
        parts = [(sum(u), self.scatter * sum(x * x for x in u), self.swing * sum(u) ** 2) for u in usual]
        mean, scatter, swing = (sum(column) for column in zip(*parts, strict=True))
        worth, last = sum(self.weight), parts[-1]
        spread = mean + scatter + swing + sum(last) / max(last[0], 1e-9) ** 2 / worth * mean**2
        reach = float(gamma.isf(alpha, mean**2 / spread, scale=spread / mean))
        variance = mean + scatter + swing
        doubt = (swing / variance) ** 2 * (1 + 3 * self.swing) * 3 / max(worth - 1, 1)
        doubt += (scatter / variance) ** 2 / self.free
        df = max(1 / max(doubt, 1e-3), 3)
        return last[0], mean + (reach - mean) * float(student.isf(alpha, df) / norm.isf(alpha))


def watch(rounds: list[Row], alpha: float = ALPHA) -> list[dict[str, Any]]:
    rows = [(i, row) for i, row in enumerate(rounds) if any(x is not None for x in row)]
    known = [row for _, row in rows]
    points, since = [], 0
    for now in range(5, len(known)):
        expected, limit = Learned(known[max(now - 40, 0) : now]).limit(known[now : now + 1], alpha)
        for before in (now - 1, now - 2):
            if before < 5 or before < since:
                break
            _, both = Learned(known[max(before - 40, 0) : before]).limit(known[before : now + 1], alpha)
            limit = min(limit, both - sum(sum(x or 0 for x in row) for row in known[before:now]))
        limit = max(limit, expected)
        count = sum(x or 0 for x in known[now])
        points.append(
            {"i": rows[now][0], "count": count, "expected": expected, "limit": limit, "alarm": count > limit}
        )
        since = now + 1 if count > limit else since
    return points


def _never_varying(boards: int, each: int, rounds: int) -> dict[str, float]:
    """Closed form of the newest round alone: no scatter, all boards alike, swing held near its usual size."""
    mean = float(boards * each)
    swing = max((0.3 + (rounds - 1) * (-1 / mean)) / (rounds + 2), 0.0)
    variance = mean + swing * mean**2
    spread = variance * (1 + 1 / rounds)
    reach = float(gamma.isf(ALPHA, mean**2 / spread, scale=spread / mean))
    doubt = (swing * mean**2 / variance) ** 2 * (1 + 3 * swing) * 3 / (rounds - 1)
    df = max(1 / max(doubt, 1e-3), 3)
    return {
        "expected": mean,
        "limit": mean + (reach - mean) * float(student.isf(ALPHA, df) / norm.isf(ALPHA)),
    }


def _season(rng: Random, boards: int, rounds: int, mean: float, character: bool) -> list[Row]:
    """An invented season: boards alike or each with its character, nights that swing, a tenth missing."""
    level = [rng.gammavariate(0.8, 1.25) if character else 1.0 for _ in range(boards)]
    made: list[Row] = []
    for _ in range(rounds):
        night = mean * rng.gammavariate(11, 1 / 11)
        row: Row = []
        for own in level:
            own_night = night * own * (1 if character else rng.gammavariate(0.8, 1.25))
            row.append(
                None if rng.random() < 0.1 else round(rng.expovariate(1 / own_night)) if own_night else 0
            )
        made.append(row)
    return made


def surge() -> Vectors:
    v = Vectors(
        "surge",
        source="our own; gamma prior after Clayton & Kaldor 1987, Biometrics 43:671",
        computed_with=f"a second implementation in plain loops, {SCIPY} (stats.gamma, t, norm); closed form",
        notes={
            "closed_form": "Boards that never vary: every part of the limit can be written down.",
            "surge": "A rise at the end, which must raise the alarm.",
            "few_rounds": "Too few rounds for a limit, or so few that a caution goes with it.",
            "gaps": "Boards not turned, whole rounds not walked.",
            "nothing": "Nothing was ever found.",
        },
    )

    def add(name: str, comment: str, rounds: list[Row], flags: tuple[str, ...] = (), **more: Any) -> None:
        points = watch(rounds, more.get("alpha", ALPHA))
        out = {"points": points, "n_alarms": sum(point["alarm"] for point in points)}
        v.answer(name, comment, {"method": "boards", "rounds": rounds, **more}, out, flags=flags)

    for boards, each, rounds in ((12, 4, 5), (6, 2, 5), (1, 3, 5)):
        given = {"method": "boards", "rounds": [[each] * boards] * (rounds + 1)}
        out = {
            "points": [
                {"i": rounds, "count": boards * each, "alarm": False, **_never_varying(boards, each, rounds)}
            ]
        }
        flags = ("closed_form", "few_rounds")
        v.answer(
            f"always_{each}_on_{boards}",
            f"{each} on each.",
            given,
            out,
            flags=flags,
            says={"cautions": ["5 earlier"]},
        )
    rng = Random(2026)
    add("alike", "Twelve boards alike, twenty rounds.", _season(rng, 12, 20, 4, False))
    add("character", "Boards that stay good or bad.", _season(rng, 12, 20, 3, True))
    rising = _season(rng, 10, 18, 2, True)
    tripled: list[Row] = [[None if x is None else 3 * x + 2 for x in row] for row in rising[-2:]]
    add("rise", "Three times as many and two more on each board.", rising[:-2] + tripled, ("surge",))
    add(
        "earlier_surge",
        "An earlier surge must not hide the next.",
        [*rising[:6], *tripled, *rising[6:], *tripled],
        ("surge",),
    )
    walked = _season(rng, 8, 12, 3, True)
    add(
        "not_walked",
        "Two rounds without a board.",
        [*walked[:4], [None] * 8, *walked[4:9], [None] * 8, *walked[9:]],
        ("gaps",),
    )
    add("strict", "A rarer false alarm.", walked, alpha=0.001)
    add("one_board", "A single board.", [[3], [1], [0], [4], [2], [9]], ("few_rounds",))
    add("nothing_yet", "Seven empty rounds, then one slug.", [[0] * 5] * 7 + [[0, 1, 0, 0, 0]], ("nothing",))
    add("long", "Rounds older than forty are forgotten.", _season(rng, 3, 46, 2, True))
    v.answer("too_few", "Five rounds: four before the newest.", {"method": "boards", "rounds": [[1, 2]] * 5},
             {"points": [], "n_alarms": 0}, flags=("few_rounds",), says={"why_not": ["5 earlier rounds"]})  # fmt: skip
    v.answer("no_rounds", "Nothing walked yet.", {"method": "boards", "rounds": []}, {"points": [], "n_alarms": 0},
             flags=("few_rounds",), says={"why_not": ["0 have counts"]})  # fmt: skip
    rows = {"method": "boards", "rounds": [[1, 2], [3, 4]]}
    v.refused("uneven", "A board short.", {"method": "boards", "rounds": [[1, 2], [3]]}, "/rounds/1")
    v.refused(
        "negative", "Fewer than none.", {"method": "boards", "rounds": [[1, 2], [3, -1]]}, "/rounds/1/1"
    )
    v.refused("alpha_half", "One in two is no alarm.", {**rows, "alpha": 0.5}, "/alpha")
    v.refused("unknown_method", "No such method.", {**rows, "method": "guess"}, "/method")
    return v


FILES = {"surge": surge}
