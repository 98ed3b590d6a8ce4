"""Calculations against a limit and, in the same run, against a reference tool that must give the same answer."""

from __future__ import annotations

import time
import warnings
from collections.abc import Callable
from datetime import date
from statistics import median
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm

from tests.bench.table import Row, at_most
from tests.outside.farrington_reference import watched_by_statsmodels
from tests.outside.make_vectors.nb_reference import summary

WEEKS, YEARS, HALF_WINDOW, A_YEAR, ALPHA = 300, 3, 3, 52, 0.001


def calculation_rows(runs: int) -> list[Row]:
    """All three figures that have a limit of their own."""
    return [fit_row(runs), farrington_row(runs), findings_row(runs)]


def fit_row(runs: int) -> Row:
    """One negative binomial fit with all its intervals, beside the fit alone by statsmodels."""
    from underboard.core.agronomy.counts.count_summary import count_summary

    draw = np.random.default_rng(20260311)
    counts = [int(x) for x in draw.negative_binomial(0.8, 0.8 / (0.8 + 4), size=400)]
    ones = np.ones((400, 1))
    ours, found = timed(lambda: count_summary(counts), runs)
    theirs, fit = timed(lambda: sm.NegativeBinomial(np.array(counts), ones).fit(disp=0), runs)
    assert found.k == pytest.approx(1 / fit.params[1], rel=1e-3)
    plain, want = timed(lambda: summary(counts, 0.95), 1)
    same(want, found, ("k", "k_low", "k_high", "mean_low", "mean_high", "mean_high_calibrated"))
    against = f"statsmodels' fit alone {theirs:.1f} ms; the same intervals by plain scipy {plain:.0f} ms"
    return at_most("NB fit, profile intervals, 400 counts (processor time)", ours, "ms", 30, against)


def farrington_row(runs: int) -> Row:
    """300 weeks of limits, beside a statsmodels regression a week with the same limits."""
    from underboard.core.agronomy.surge.surge import surge

    draw = np.random.default_rng(20260311)
    weeks = [int(x) for x in draw.poisson(8, size=WEEKS + YEARS * A_YEAR + HALF_WINDOW)]
    plan = {"b": YEARS, "w": HALF_WINDOW, "frequency": A_YEAR, "alpha": ALPHA}
    ours, found = timed(lambda: surge(counts=weeks, method="farrington", **plan), runs)
    theirs, want = timed(lambda: watched_by_statsmodels(weeks, **plan), 1)
    assert len(found.points) == len(want) == WEEKS
    for point, (mean, limit) in zip(found.points, want, strict=True):
        assert (point.expected, point.limit) == pytest.approx((mean, limit), rel=1e-4)
    against = f"statsmodels' GLM a week, equal limits: {theirs:,.0f} ms"
    return at_most("Farrington over 300 weeks (processor time)", ours, "ms", 1500, against)


def findings_row(runs: int) -> Row:
    """All findings of the two-season demo plot from records in memory, beside a plain scipy profile a round.

    Compared are the clumped rounds without a double count whose upper limit stands within ten times the mean:
    further out the plain search for it fails.
    """
    from underboard.core.findings.pressure import slug_pressure

    rounds, counts, stations = demo_records()
    ours, found = timed(lambda: slug_pressure(rounds, counts, stations), runs)
    numbers: dict[str, list[int]] = {walk.round_id: [] for walk in found}
    for count in (record["body"] for record in counts):
        if count["state"] in ("counted", "none_found") and count["round_id"] in numbers:
            numbers[count["round_id"]].append(count.get("count") or 0)
    clumped = [walk for walk in found if walk.model == "negative-binomial" and not walk.double_counts]
    judged = [walk for walk in clumped if walk.high is not None and walk.high < 10 * walk.mean]
    assert len(judged) > len(found) / 2
    plain, want = timed(lambda: [summary(numbers[walk.round_id], 0.95) for walk in judged], 1)
    for walk, answer in zip(judged, want, strict=True):
        limits = (answer["mean_low_calibrated"], answer["mean_high_calibrated"])
        assert (walk.low, walk.high) == pytest.approx(limits, rel=1e-6)
    size = f"{len(counts):,} counts, {len(found)} rounds"
    against = f"{size}; equal limits of {len(judged)} by plain scipy {plain:,.0f} ms"
    return at_most("findings of a two-season plot (processor time)", ours, "ms", 300, against)


def demo_records() -> tuple[list[Any], list[Any], list[Any]]:
    """Rounds, counts and stations of the demo plot as pull gives them."""
    from underboard.exchange.demo import scenario_ops

    bodies: dict[str, dict[str, dict[str, Any]]] = {"round": {}, "slug_count": {}, "station": {}}
    for _, op in scenario_ops("01890000-0000-7000-8000-000000000000", ("a", "b", "c"), date(2026, 11, 25)):
        if op["type"] in bodies and op["base_rev"] == 0:
            bodies[op["type"]][op["id"]] = {"id": op["id"], "body": op["set"]}
    rounds, counts, stations = (list(kept.values()) for kept in bodies.values())
    return rounds, counts, stations


def same(want: dict[str, Any], found: object, keys: tuple[str, ...]) -> None:
    """Hold our answer to the reference's, both having found an end or neither."""
    for key in keys:
        assert getattr(found, key) == pytest.approx(want[key], rel=1e-6), key


def timed(work: Callable[[], Any], runs: int) -> tuple[float, Any]:
    """Median milliseconds of the runs after one to warm up (none for a single slow run), and the answer.

    Processor time of this process, both for ours and the reference: they wait for nothing, and the clock on the wall
    would measure the neighbours.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # statsmodels on its way to convergence
        if runs > 1:
            work()
        took = []
        answer = None
        for _ in range(runs):
            began = time.process_time()
            answer = work()
            took.append((time.process_time() - began) * 1000)
    return median(took), answer
