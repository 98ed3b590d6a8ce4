"""What the calculations of counts do at their edges."""

from __future__ import annotations

import time
from typing import Any

import numpy as np
import pytest
from scipy.stats import chi2, nbinom

from underboard.core.agronomy import evaluate
from underboard.core.agronomy.counts.negative_binomial import likeliest_clumping, profile
from underboard.core.agronomy.counts.tally import LARGEST_STEPPED, STIRLING_FROM, tally
from underboard.core.errors import InputFault


def refused(name: str, given: dict[str, Any]) -> str:
    with pytest.raises(InputFault) as caught:
        evaluate(name, given)
    return caught.value.pointer


def test_nothing_on_any_board() -> None:
    found = evaluate("count-summary", {"counts": [0] * 9})
    assert found["k"] is None and found["mean_low"] == 0
    assert found["mean_high"] == found["poisson_high"] > 0
    # The chance of nine empty boards at that limit, by the zero term of the law with k 0.3.
    nil = evaluate("miss-chance", {"mean_per_unit": found["mean_high_calibrated"], "n_units": 9, "k": 0.3})
    assert nil["p_miss"] == pytest.approx(0.025)
    assert evaluate("count-summary", {"counts": [0]})["mean_high_calibrated"] == pytest.approx(
        3.6889, abs=1e-4
    )
    assert evaluate("count-summary", {"counts": [0, 0], "level": 1 - 1e-9})["mean_high_calibrated"] is None
    assert "zero" in found["why_not"][0] and "Poisson limits" in found["cautions"][0]


def test_one_board_shows_no_spread() -> None:
    found = evaluate("count-summary", {"counts": [7]})
    assert found["variance"] is None and found["k"] is None and found["dispersion_df"] == 0
    assert (found["mean_low"], found["mean_high"]) == (found["poisson_low"], found["poisson_high"])
    assert any("One board" in word for word in found["why_not"])


def test_variance_below_the_mean_leaves_k_open() -> None:
    found = evaluate("count-summary", {"counts": [3, 4, 3, 2, 4, 3, 3, 4]})
    assert found["k"] is None and found["k_moment"] is None and found["model"] == "poisson"
    assert found["k_low"] > 0 and found["k_high"] is None


def test_a_single_slug_has_no_upper_limit_worth_printing() -> None:
    found = evaluate("count-summary", {"counts": [1] + [0] * 11, "level": 0.999})
    assert found["mean_high"] is None
    assert any("no upper limit" in word for word in found["why_not"])


def test_a_limit_beyond_a_thousand_million_is_none() -> None:
    """Where the profile has fallen far enough only beyond 1e9; scipy's negative binomial law says that it has not."""
    counts = [1] + [0] * 34
    found = evaluate("count-summary", {"counts": counts, "level": 0.99})
    k = np.exp(np.linspace(-16, 0, 4001))
    best = max(nbinom.logpmf(0, k, k / (k + 1e9)) * 34 + nbinom.logpmf(1, k, k / (k + 1e9)))
    assert found["mean_high"] is None
    assert found["log_likelihood"] - best < chi2.ppf(0.99, 1) / 2


def test_few_clumped_boards_are_cautioned_and_the_calibrated_limits_are_wider() -> None:
    found = evaluate("count-summary", {"counts": [14, 2, 0, 31, 5, 9, 0, 3]})
    assert found["mean_low_calibrated"] < found["mean_low"] < found["mean"]
    assert found["mean_high_calibrated"] > found["mean_high"] > found["mean"]
    assert any("calibrated" in caution for caution in found["cautions"])
    fewer = evaluate("count-summary", {"counts": [14, 2, 0, 31]})
    assert any("no interval" in caution for caution in fewer["cautions"])


@pytest.mark.parametrize("counts", [[0, 0, 5, 0, 1], [4, 0, 0], [0] * 12 + [5, 2], [1, 1, 0, 2]])
def test_no_two_cautions_contradict_each_other(counts: list[int]) -> None:
    """Few slugs make limits too wide, few clumped boards too narrow: one sentence weighs both."""
    (caution,) = evaluate("count-summary", {"counts": counts})["cautions"]
    assert f"Only {sum(counts)} counted" in caution and "can be trusted" not in caution


def test_many_boards_need_no_caution() -> None:
    rng = np.random.default_rng(1)
    counts = rng.poisson(rng.gamma(1, 5, 60)).tolist()
    assert evaluate("count-summary", {"counts": counts})["cautions"] == []


def test_clusters_that_cannot_be_used() -> None:
    found = evaluate("count-summary", {"counts": [1, 4], "clusters": ["a", "a"]})
    assert "mean_low_cluster" not in found
    assert any("two clusters" in word for word in found["why_not"])
    assert refused("count-summary", {"counts": [1, 2], "clusters": [1]}) == "/clusters"


@pytest.mark.parametrize(
    ("given", "pointer"),
    [
        ({"counts": []}, "/counts"),
        ({"counts": [1, -1]}, "/counts/1"),
        ({"counts": [1, None]}, "/counts/1"),
        ({"counts": [1e308]}, "/counts/0"),
        ({"counts": [1], "level": 1}, "/level"),
    ],
)
def test_nonsense_counts_are_refused(given: dict[str, Any], pointer: str) -> None:
    assert refused("count-summary", given) == pointer


def test_huge_counts_are_worked_out_by_gamma_functions() -> None:
    """Both ways of the likelihood agree where they meet, and Stirling's where gamma functions lose digits."""
    small = tally([LARGEST_STEPPED - 1, 15_000, 9_000, 100])
    large = tally([LARGEST_STEPPED + 1, 15_000, 9_000, 100])
    for a in (1e-9, 0.9 / STIRLING_FROM, 1.1 / STIRLING_FROM, 0.5, 30.0):
        for m in (5_000.0, 12_000.0):
            step = small.log_likelihood(m, a)
            assert large.log_likelihood(m, a) == pytest.approx(step, rel=1e-3)
            assert large.slope(m, a) == pytest.approx(small.slope(m, a), rel=1e-2, abs=1e-3)
    big = tally([10**9, 4 * 10**8, 7])
    a = likeliest_clumping(big, big.mean)
    assert 0 < a < 100 and profile(big, big.mean) >= big.log_likelihood(big.mean, a * 1.1)
    found = evaluate("count-summary", {"counts": [10**9, 10**9, 10**9 - 5]})
    assert found["model"] == "poisson"


@pytest.mark.parametrize("m", [0.3, 1.0, 4.0, 30.0])
def test_the_slope_is_that_of_the_likelihood(m: float) -> None:
    """Central differences of the log likelihood, the stretch where the series takes over included."""
    seen = tally([0, 0, 3, 1, 9, 0, 2])
    for a in (1e-6, 1e-4, 3e-3, 0.2, 5.0):
        h = a * 1e-3
        numeric = (seen.log_likelihood(m, a + h) - seen.log_likelihood(m, a - h)) / (2 * h)
        assert seen.slope(m, a) == pytest.approx(numeric, rel=1e-4, abs=1e-3)
    assert seen.slope(m, 0.0) == pytest.approx(seen.slope(m, 1e-9), rel=1e-5)


def test_four_hundred_boards_are_quick() -> None:
    """Fit and profile intervals of 400 counts in under 30 ms of processor time."""
    rng = np.random.default_rng(2)
    counts = rng.poisson(rng.gamma(0.8, 5, 400)).tolist()
    evaluate("count-summary", {"counts": counts})
    start = time.process_time()
    for _ in range(10):
        evaluate("count-summary", {"counts": counts})
    assert (time.process_time() - start) / 10 < 0.030


@pytest.mark.parametrize(
    ("given", "pointer"),
    [
        ({"method": "negative_binomial", "mean": 4, "d": 0.25}, "/k"),
        ({"method": "taylor", "mean": 4, "d": 0.25, "a": 1}, "/b"),
        ({"method": "iwao", "mean": 4, "d": 0.25, "alpha": 1}, "/beta"),
        ({"method": "green", "mean": 4, "d": 0.25}, "/method"),
        ({"method": "poisson", "mean": 0, "d": 0.25}, "/mean"),
    ],
)
def test_number_of_boards_needs_its_constants(given: dict[str, Any], pointer: str) -> None:
    assert refused("sample-size", given) == pointer


def test_constants_that_ask_for_no_boards_or_too_many() -> None:
    none = evaluate("sample-size", {"method": "iwao", "mean": 4, "d": 0.25, "alpha": -1, "beta": 0.5})
    assert none["n"] is None and none["why_not"]
    endless = evaluate("sample-size", {"method": "poisson", "mean": 1e-9, "d": 1e-6})
    assert endless["n"] is None and endless["why_not"]


def test_lines_where_no_total_is_enough() -> None:
    green = evaluate("stop-line", {"method": "green", "a": 1, "b": 2, "d": 0.2, "n": [5], "total": 10**6})
    assert green["lines"][0]["stop_total"] is None and green["verdict"] == "go_on" and green["why_not"]
    steep = evaluate("stop-line", {"method": "green", "a": 1e9, "b": 1.9999, "d": 1e-6, "n": [5]})
    assert steep["lines"][0]["stop_total"] is None
    wald = {"method": "wald", "mean0": 1, "mean1": 4, "k": 1, "error_low": 0.6, "error_high": 0.5, "n": [9]}
    assert refused("stop-line", wald) == "/error_high"
    assert refused("stop-line", {**wald, "error_low": 0.1, "mean0": 1, "mean1": 1 + 1e-16}) == "/mean1"


def test_a_line_through_too_little() -> None:
    none = evaluate("taylor", {"groups": [[0, 0, 1], [2, 2, 2], [1, 3]]})
    assert none["n_groups"] == 1 and none["n_left_out"] == 2 and none["a"] is None and none["why_not"]
    two = evaluate("taylor", {"groups": [[1, 3], [10, 40]]})
    assert two["b"] is not None and two["b_se"] is None and two["why_not"]
    flat = evaluate("taylor", {"groups": [[1, 3], [2, 4], [3, 5]]})
    assert flat["b"] == pytest.approx(0) and flat["r2"] is None


def test_a_level_next_to_nothing_is_the_mean_itself() -> None:
    """The fall asked for is smaller than rounding; found by searching for inputs that break things."""
    found = evaluate("count-summary", {"counts": [0, 1], "level": 1e-12})
    assert found["mean_low"] == pytest.approx(0.5, rel=1e-3) and found["mean_high"] == pytest.approx(
        0.5, rel=1e-3
    )
