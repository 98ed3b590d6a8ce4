"""Trials against published examples, R, statsmodels and scipy.

Cochran 1938 wireworms and the eelworm fumigation are agridat tables; codling moth is DAAG; references beside the
tables in fixtures/outside were computed with R 4.2.2; MASS 7.3.58.2.
"""

from __future__ import annotations

import math
from collections import defaultdict
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.outside.reading import about, rows
from tests.outside.test_counts_outside import NURSERY, ROOKERY
from underboard.core.agronomy import evaluate

# Cochran 1938, Latin square of five soil treatments (agridat cochran.wireworms); only K is effective.
COCHRAN = {
    "P": [3, 8, 2, 6, 4], "M": [6, 9, 8, 4, 4], "O": [4, 2, 6, 9, 8], "N": [17, 4, 5, 4, 5], "K": [4, 0, 1, 1, 0],
}  # fmt: skip


def against(answer: dict[str, Any], group: str) -> dict[str, Any]:
    return next(ratio for ratio in answer["ratios"] if ratio["group"] == group)


def test_two_grasslands() -> None:
    """Crawley's tiles: a naive Poisson ratio "proves" a difference that the others do not (R 4.2.2)."""
    found = evaluate("compare", {"groups": {"nursery": NURSERY, "rookery": ROOKERY}, "reference": "nursery"})
    ratio = against(found, "rookery")
    assert ratio["ratio"] == pytest.approx(1.78431, abs=5e-6)
    assert (ratio["poisson_low"], ratio["poisson_high"]) == pytest.approx((1.2664, 2.5140), abs=5e-5)
    assert found["dispersion"] == pytest.approx(3.17311, abs=5e-6)
    assert (ratio["quasi_low"], ratio["quasi_high"]) == pytest.approx((0.9596, 3.3180), abs=5e-5)
    assert found["theta"] == pytest.approx(0.78593, abs=5e-6)
    assert (ratio["nb_low"], ratio["nb_high"]) == pytest.approx((0.9777, 3.2564), abs=6e-5)
    assert ratio["nb_p"] == pytest.approx(0.0592, abs=5e-5)
    assert found["log_likelihood"] == pytest.approx(-142.675, abs=5e-4)
    assert found["believe"] == "nb"


def test_wireworms_of_cochran() -> None:
    """Totals 23, 31, 29, 35, 6; dispersion 2.0527; K/P 0.26087, Wald and exact limits (computed with R)."""
    found = evaluate("compare", {"groups": COCHRAN, "reference": "P"})
    assert found["dispersion"] == pytest.approx(2.0527, abs=5e-5)
    ratio = against(found, "K")
    assert ratio["ratio"] == pytest.approx(6 / 23)
    assert (ratio["poisson_low"], ratio["poisson_high"]) == pytest.approx((0.1062, 0.6407), abs=5e-5)
    assert (ratio["exact_low"], ratio["exact_high"]) == pytest.approx((0.0869, 0.6591), abs=5e-5)


def test_insect_sprays() -> None:
    """Beall 1942: Poisson, quasi-Poisson and negative binomial ratios to spray A, Kruskal-Wallis, by R."""
    groups = defaultdict(list)
    for row in rows("insect_sprays"):
        groups[row["spray"]].append(int(row["count"]))
    want = about("insect_sprays")["reference"]
    found = evaluate("compare", {"groups": groups, "reference": "A"})
    assert found["theta"] == pytest.approx(want["nb_glm"]["theta"], rel=1e-6)
    assert found["log_likelihood"] == pytest.approx(want["nb_glm"]["loglik"], rel=1e-9)
    assert found["dispersion"] == pytest.approx(want["quasipoisson"]["dispersion"], rel=1e-6)
    assert found["kruskal_p"] == pytest.approx(want["kruskal"][1], rel=1e-8)
    tables = {
        "nb": want["nb_glm"]["vs_A"],
        "poisson": want["poisson_glm_vs_A"],
        "quasi": want["quasipoisson"]["vs_A"],
    }
    for kind, table in tables.items():
        for spray in "BCDEF":
            ratio, reference = against(found, spray), table[f"spray{spray}"]
            assert ratio["nb_ratio" if kind == "nb" else "ratio"] == pytest.approx(
                reference["rate_ratio"], rel=1e-8
            )
            limits = (ratio[f"{kind}_low"], ratio[f"{kind}_high"])
            # R's glm leaves its standard errors a few parts in ten million short of convergence.
            assert limits == pytest.approx(tuple(reference["ci95"]), rel=2e-6), (kind, spray)


def eelworms() -> tuple[dict[str, list[int]], dict[str, list[int]]]:
    final, initial = defaultdict(list), defaultdict(list)
    for row in rows("eelworm_fumigation"):
        final[row["fumdose"]].append(int(row["final"]))
        initial[row["fumdose"]].append(int(row["initial"]))
    return final, initial


def test_eelworms_with_the_count_before_as_effort() -> None:
    """glm.nb with offset log(initial): theta, ratios and limits by R; efficacies may be negative."""
    final, initial = eelworms()
    want = about("eelworm_fumigation")["reference"]["nb_offset"]
    found = evaluate("compare", {"groups": final, "effort": initial, "reference": "Con0"})
    assert found["theta"] == pytest.approx(want["theta"], rel=1e-6)
    for key, reference in want["by_trt"].items():
        ratio = against(found, key.removeprefix("fumdose"))
        assert ratio["nb_ratio"] == pytest.approx(reference["rate_ratio"], rel=1e-6)
        low, high = reference["efficacy_ci95"]
        assert 100 * (1 - ratio["nb_high"]) == pytest.approx(low, abs=2e-4)
        assert 100 * (1 - ratio["nb_low"]) == pytest.approx(high, abs=2e-4)


def test_henderson_tilton_of_eelworms() -> None:
    """Pooled totals; Chl2 is negative and is shown so."""
    want = about("eelworm_fumigation")["reference"]
    before, after = want["initial_total"], want["final_total"]
    for name, percent in want["henderson_tilton_pct"].items():
        given = {
            "method": "henderson_tilton",
            "treated_before": before[name], "treated_after": after[name],
            "control_before": before["Con0"], "control_after": after["Con0"],
        }  # fmt: skip
        assert evaluate("efficacy", given)["percent"] == pytest.approx(percent, rel=1e-9, abs=1e-9)
    assert want["henderson_tilton_pct"]["Chl2"] < 0


def test_abbott_on_means_of_eelworms() -> None:
    final, _ = eelworms()
    control = float(np.mean(final["Con0"]))
    for name, percent in about("eelworm_fumigation")["reference"]["abbott_final_means_pct"].items():
        given = {
            "method": "abbott_counts",
            "treated_after": float(np.mean(final[name])),
            "control_after": control,
        }
        assert evaluate("efficacy", given)["percent"] == pytest.approx(percent, rel=1e-9, abs=1e-9)


def test_abbott_of_codling_moth() -> None:
    """99 batches: corrected mortality and its delta-method standard error by R."""
    want = about("codling_abbott")["reference"]
    for row, percent, error in zip(
        rows("codling_abbott"), want["abbott_pct"], want["delta_se_pct"], strict=True
    ):
        given = {
            "method": "schneider_orelli",
            "treated_mortality": 100 * int(row["dead"]) / int(row["tot"]),
            "control_mortality": 100 * float(row["cm"]),
            "n_treated": int(row["tot"]),
            "n_control": int(row["numcm"]),
        }
        found = evaluate("efficacy", given)
        assert found["percent"] == pytest.approx(percent, rel=1e-8)
        assert 100 * found["ratio"] * found["se_log_ratio"] == pytest.approx(error, rel=1e-7)


@pytest.mark.parametrize(
    ("given", "percent"),
    [
        ({"method": "abbott_percent", "alive_check": 50, "alive_treated": 2}, 96.0),
        ({"method": "abbott_counts", "treated_after": 8, "control_after": 24}, 66.6667),
        ({"method": "henderson_tilton", "treated_before": 300, "treated_after": 30, "control_before": 500,
          "control_after": 1000}, 95.0),
        ({"method": "henderson_tilton", "treated_before": 300, "treated_after": 30, "control_before": 500,
          "control_after": 400}, 87.5),
        ({"method": "schneider_orelli", "treated_mortality": 90, "control_mortality": 10}, 88.8889),
        ({"method": "sun_shepard", "treated_mortality": 90, "control_change": 100}, 95.0),
        ({"method": "sun_shepard", "treated_mortality": 90, "control_change": -20}, 87.5),
        ({"method": "sun_shepard", "treated_mortality": 90, "control_before": 500, "control_after": 400}, 87.5),
    ],
)  # fmt: skip
def test_published_examples(given: dict[str, Any], percent: float) -> None:
    """Abbott 1925 (check 50 % dead, treated 98 % dead: 96, not 48); Püntener 1981 for the others."""
    assert evaluate("efficacy", given)["percent"] == pytest.approx(percent, abs=5e-5)


def test_interval_of_henderson_tilton() -> None:
    """se = sqrt(phi (1/20 + 1/8 + 1/18 + 1/24)): 70 % (16.6 to 89.2), and (-85.4 to 95.1) at phi 3.173."""
    given = {"treated_before": 20, "treated_after": 8, "control_before": 18, "control_after": 24}
    found = evaluate("efficacy", {"method": "henderson_tilton", **given})
    assert (found["percent"], found["low"], found["high"]) == pytest.approx((70.0, 16.6, 89.2), abs=0.05)
    clumped = evaluate("efficacy", {"method": "henderson_tilton", **given, "dispersion": 3.173})
    assert (clumped["low"], clumped["high"]) == pytest.approx((-85.4, 95.1), abs=0.05)
    baci = evaluate("efficacy", {"method": "baci", **given})
    assert baci["log_ratio"] == pytest.approx(-1.20397, abs=5e-6)
    assert baci["se_log_ratio"] == pytest.approx(0.52175, abs=5e-6)
    got = (baci["ratio"], baci["ratio_low"], baci["ratio_high"])
    assert got == pytest.approx((0.300, 0.1079, 0.8341), abs=5e-5)
    assert baci["additive"] == -18


counts = st.lists(st.integers(0, 30), min_size=3, max_size=10)


@given(one=counts, two=counts, three=counts)
@settings(max_examples=60, deadline=None)
def test_ratios_are_those_of_statsmodels(one: list[int], two: list[int], three: list[int]) -> None:
    """statsmodels GLM: Poisson, Pearson-scaled (t), and negative binomial at our theta."""
    import statsmodels.api as sm

    groups = {"a": one, "b": two, "c": three}
    assume(all(sum(values) > 0 for values in groups.values()))
    found = evaluate("compare", {"groups": groups, "reference": "a"})
    y = np.array(one + two + three)
    place = np.repeat([0, 1, 2], [len(one), len(two), len(three)])
    x = np.column_stack([np.ones(len(y)), place == 1, place == 2]).astype(float)
    plain = sm.GLM(y, x, family=sm.families.Poisson()).fit()
    scaled = sm.GLM(y, x, family=sm.families.Poisson()).fit(scale="X2", use_t=True)
    assert found["dispersion"] == pytest.approx(scaled.scale, rel=1e-6, abs=1e-9)
    for i, name in ((1, "b"), (2, "c")):
        ratio = against(found, name)
        assert ratio["ratio"] == pytest.approx(math.exp(plain.params[i]), rel=1e-6)
        want = np.exp(plain.conf_int()[i])
        assert (ratio["poisson_low"], ratio["poisson_high"]) == pytest.approx(tuple(want), rel=1e-5)
        want = np.exp(scaled.conf_int()[i])
        assert (ratio["quasi_low"], ratio["quasi_high"]) == pytest.approx(tuple(want), rel=1e-4)
    if found["theta"] is not None and found["theta"] < 1e4:
        fit = sm.GLM(y, x, family=sm.families.NegativeBinomial(alpha=1 / found["theta"])).fit(tol=1e-12)
        assert found["log_likelihood"] == pytest.approx(fit.llf, abs=1e-6)
        for alpha in (0.98 / found["theta"], 1.02 / found["theta"]):
            near = sm.GLM(y, x, family=sm.families.NegativeBinomial(alpha=alpha)).fit(tol=1e-12)
            assert near.llf <= found["log_likelihood"] + 1e-8
        want = np.exp(fit.conf_int()[1])
        assert (against(found, "b")["nb_low"], against(found, "b")["nb_high"]) == pytest.approx(
            tuple(want), rel=1e-4
        )


@given(one=counts, two=counts, three=counts)
@settings(max_examples=80, deadline=None)
def test_rank_test_is_that_of_scipy(one: list[int], two: list[int], three: list[int]) -> None:
    """scipy.stats.kruskal."""
    assume(len({*one, *two, *three}) > 1)
    found = evaluate("compare", {"groups": {"a": one, "b": two, "c": three}})
    assert found["kruskal_p"] == pytest.approx(stats.kruskal(one, two, three).pvalue, rel=1e-9, abs=1e-300)


@given(
    treated=st.lists(st.integers(-9, 9), min_size=2, max_size=6),
    control=st.lists(st.integers(-9, 9), min_size=2, max_size=6),
)
@settings(max_examples=60, deadline=None)
def test_shuffling_is_that_of_scipy(treated: list[int], control: list[int]) -> None:
    """scipy.stats.permutation_test counts both tails apart and doubles; ours counts both at once, so the
    reference is its null distribution."""

    def difference(x: Any, y: Any, axis: int) -> Any:
        return np.mean(x, axis=axis) - np.mean(y, axis=axis)

    found = evaluate("permutation-test", {"treated": treated, "control": control})
    run = stats.permutation_test((treated, control), difference, n_resamples=np.inf, vectorized=True)
    assert found["exact"] and found["n_permutations"] == len(run.null_distribution)
    assert found["difference"] == pytest.approx(run.statistic)
    hits = np.abs(run.null_distribution) >= abs(run.statistic) - 1e-9
    assert found["p"] == pytest.approx(hits.mean())


def test_pairs_are_shuffled_within() -> None:
    """Five pairs all one way: 2 of 2^5 arrangements (Fisher 1935)."""
    given = {"treated": [1, 2, 3, 4, 5], "control": [2, 4, 6, 8, 10], "blocks": ["a", "b", "c", "d", "e"]}
    found = evaluate("permutation-test", given)
    assert found["n_permutations"] == 32 and found["p"] == 2 / 32


def test_drawing_comes_near_the_whole() -> None:
    """More than 20,000 arrangements are drawn: near Welch's t where both hold (scipy.stats.ttest_ind)."""
    rng = np.random.default_rng(3)
    treated, control = list(rng.normal(0, 1, 30)), list(rng.normal(0.6, 1, 30))
    found = evaluate("permutation-test", {"treated": treated, "control": control, "seed": 7})
    assert not found["exact"]
    assert found["p"] == pytest.approx(stats.ttest_ind(treated, control).pvalue, abs=0.01)
    again = evaluate("permutation-test", {"treated": treated, "control": control, "seed": 7})
    assert again == found


@pytest.mark.parametrize(
    ("mean", "k", "n_boards", "fewer"), [(4, 3, 12, 50), (8, 1, 30, 40), (3, 0.8, 25, 60)]
)
def test_power_is_what_simulation_finds(mean: float, k: float, n_boards: int, fewer: float) -> None:
    """Seeded draws (numpy) judged by a Wald test of the log ratio with known k; fresh draws, one round."""
    given = {"mean": mean, "k": k, "n_boards": n_boards, "n_rounds": 1, "percent_fewer": fewer}
    promised = evaluate("trial-power", given)["power"]
    rng = np.random.default_rng(11)

    def totals(m: float) -> Any:
        return rng.poisson(rng.gamma(k, m / k, (20_000, n_boards))).sum(axis=1)

    a, b = totals(mean), totals(mean * (1 - fewer / 100))
    with np.errstate(divide="ignore"):
        z = np.log(a / b) / np.sqrt(1 / a + 1 / b + 2 / (k * n_boards))
    assert promised == pytest.approx(np.mean(np.abs(z) > 1.959964), abs=0.03)
