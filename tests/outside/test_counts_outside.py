"""Counts against published figures, R and statsmodels.

"R 4.2.2; MASS 7.3.58.2" below is what computed the references beside the tables in fixtures/outside. The two
sets of slugs under tiles are from Crawley, M. J., The R Book (data files of the book).
"""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.outside.reading import about, rows
from underboard.core.agronomy import evaluate

NURSERY = [
    3, 0, 0, 0, 0, 1, 0, 3, 0, 0, 0, 0, 2, 5, 6, 0, 4, 7, 0, 1, 0, 1, 0, 0, 0, 0, 10, 0, 0, 0, 0, 2, 0, 0, 1, 1,
    0, 0, 0, 4,
]  # fmt: skip
ROOKERY = [
    2, 3, 0, 5, 9, 1, 3, 1, 2, 0, 5, 1, 2, 5, 1, 8, 1, 0, 3, 0, 2, 0, 0, 2, 2, 1, 5, 1, 0, 0, 0, 3, 4, 2, 3, 6, 2,
    4, 1, 1,
]  # fmt: skip


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        (0, 0, 3.6889), (1, 0.0253, 5.5716), (2, 0.2422, 7.2247), (3, 0.6187, 8.7673), (4, 1.0899, 10.2416),
        (5, 1.6235, 11.6683), (10, 4.7954, 18.3904), (20, 12.2165, 30.8884),
    ],
)  # fmt: skip
def test_garwood_table(count: int, low: float, high: float) -> None:
    """Garwood 1936, 95 % limits; 0: also 3.689 in the epitools manual."""
    found = evaluate("poisson-interval", {"count": count})
    assert (found["low"], found["high"]) == (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5))


def test_upper_limit_of_nothing_is_minus_log_of_five_percent() -> None:
    """2.996 for x = 0 in the epitools manual; -ln(0.05)."""
    found = evaluate("poisson-interval", {"count": 0, "sided": "upper"})
    assert found["high"] == pytest.approx(-math.log(0.05), rel=1e-12)


@given(count=st.integers(0, 10**6), effort=st.floats(0.01, 1000), level=st.floats(0.5, 0.9999))
@settings(max_examples=150, deadline=None)
def test_poisson_limits_are_those_of_scipy(count: int, effort: float, level: float) -> None:
    """scipy.stats.chi2, the textbook form of Garwood's limits."""
    found = evaluate("poisson-interval", {"count": count, "effort": effort, "level": level})
    tail = (1 - level) / 2
    assert found["high"] == pytest.approx(stats.chi2.isf(tail, 2 * count + 2) / 2 / effort, rel=1e-9)
    low = stats.chi2.ppf(tail, 2 * count) / 2 / effort if count else 0.0
    assert found["low"] == pytest.approx(low, rel=1e-9)


def test_shares_of_traps() -> None:
    """Clopper-Pearson 0/10 and 3/20, Wilson 3/20 (computed with R); rule of three, Eypasch 1995 BMJ 311:619."""
    none = evaluate("proportion", {"found": 0, "examined": 10})
    assert none["exact_high"] == pytest.approx(0.3085, abs=5e-5)
    assert none["upper_one_sided"] == pytest.approx(0.2589, abs=5e-5)
    some = evaluate("proportion", {"found": 3, "examined": 20})
    assert some["exact_low"] == pytest.approx(0.0321, abs=5e-5)
    assert some["exact_high"] == pytest.approx(0.3789, abs=5e-5)
    assert some["wilson_low"] == pytest.approx(0.0524, abs=5e-5)
    assert some["wilson_high"] == pytest.approx(0.3604, abs=5e-5)
    assert "upper_one_sided" not in some
    for n, exact in ((20, 0.1391), (30, 0.0950)):
        found = evaluate("proportion", {"found": 0, "examined": n})
        assert found["upper_one_sided"] == pytest.approx(exact, abs=5e-5)


@given(data=st.data(), examined=st.integers(1, 5000), level=st.floats(0.5, 0.999))
@settings(max_examples=100, deadline=None)
def test_shares_are_those_of_statsmodels(data: st.DataObject, examined: int, level: float) -> None:
    """statsmodels.stats.proportion.proportion_confint, methods wilson and beta."""
    from statsmodels.stats.proportion import proportion_confint

    found = data.draw(st.integers(0, examined))
    answer = evaluate("proportion", {"found": found, "examined": examined, "level": level})
    for method, name in (("wilson", "wilson"), ("beta", "exact")):
        low, high = proportion_confint(found, examined, 1 - level, method)
        assert answer[f"{name}_low"] == pytest.approx(low, rel=1e-8, abs=1e-12)
        assert answer[f"{name}_high"] == pytest.approx(high, rel=1e-8, abs=1e-12)


TILES = {
    "nursery": (
        NURSERY,
        {
            "n": 40, "total": 51, "mean": 1.275, "variance": 5.33269, "variance_mean_ratio": 4.18250, "n_zero": 25,
            "k_moment": 0.40063, "k": 0.28409, "log_likelihood": -57.7446, "dispersion_chi2": 163.118,
            "lloyd": 4.45750, "morisita": 3.48235, "poisson_low": 0.9493, "poisson_high": 1.6764,
        },
    ),
    "rookery": (
        ROOKERY,
        {
            "n": 40, "total": 91, "mean": 2.275, "variance": 4.92244, "variance_mean_ratio": 2.16371, "n_zero": 9,
            "k_moment": 1.95496, "k": 1.92894, "log_likelihood": -79.3807, "dispersion_chi2": 84.385,
            "lloyd": 3.43871, "morisita": 1.50427, "poisson_low": 1.8317, "poisson_high": 2.7932,
        },
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TILES)
def test_slugs_under_tiles(name: str) -> None:
    """Crawley's two grasslands; moments, k and log likelihood as R computes them."""
    counts, want = TILES[name]
    found = evaluate("count-summary", {"counts": counts})
    for key, value in want.items():
        assert found[key] == pytest.approx(value, abs=6e-4 if key == "dispersion_chi2" else 6e-5), key
    assert found["model"] == "negative-binomial"


def agrees_with_r(counts: list[int], want: dict[str, object]) -> None:
    found = evaluate("count-summary", {"counts": counts})
    same = {
        "n": "n", "sum": "total", "mean": "mean", "variance": "variance", "vmr": "variance_mean_ratio",
        "k_moment": "k_moment", "dispersion_chisq": "dispersion_chi2", "dispersion_df": "dispersion_df",
        "dispersion_p_upper": "dispersion_p",
    }  # fmt: skip
    for theirs, ours in same.items():
        if theirs in want:
            assert found[ours] == pytest.approx(want[theirs], rel=1e-6), ours
    assert found["n_zero"] / found["n"] == pytest.approx(want["prop_zero"], abs=1e-9)
    low, high = want["poisson_mean_exact_ci95"]  # type: ignore[misc]
    assert (found["poisson_low"], found["poisson_high"]) == (pytest.approx(low), pytest.approx(high))
    nb = want.get("nb")
    if nb is None:
        assert found["k"] is None and found["model"] == "poisson"
        return
    assert isinstance(nb, dict)
    assert found["k"] == pytest.approx(nb["k_mle"], rel=1e-4)
    assert found["log_likelihood"] == pytest.approx(nb["loglik"], rel=1e-8)
    assert found["log_likelihood_poisson"] == pytest.approx(nb["loglik_poisson"], rel=1e-8)
    pairs = (
        ("mean_{}_wald", "mean_wald_log_ci95"),
        ("mean_{}", "mean_profile_ci95"),
        ("k_{}", "k_profile_ci95"),
    )
    for ours, theirs in pairs:
        for side, value in zip(("low", "high"), nb[theirs], strict=True):
            key = ours.format(side)
            assert found[key] is None if value is None else found[key] == pytest.approx(value, rel=1e-4), key


def test_wireworms_under_five_treatments_scatter_more_than_chance() -> None:
    """Cochran 1938 (agridat cochran.wireworms): totals P 23, M 31, O 29, N 35, K 6; chi-squared 20.8387 on 4 df,
    p 0.000341 (computed)."""
    found = evaluate("count-summary", {"counts": [23, 31, 29, 35, 6]})
    assert found["total"] == 124 and found["dispersion_df"] == 4
    assert found["dispersion_chi2"] == pytest.approx(20.8387, abs=5e-5)
    assert found["dispersion_p"] == pytest.approx(0.000341, abs=5e-7)


def test_fir_seedlings() -> None:
    """boot::fir by R 4.2.2; MASS 7.3.58.2, profile intervals included."""
    agrees_with_r([int(row["count"]) for row in rows("fir_quadrats")], about("fir_quadrats")["reference"])


@pytest.mark.parametrize("taxon", ["LRUG", "SUCT", "ONOV", "Brachy", "HPAV", "TVIE"])
def test_soil_mites(taxon: str) -> None:
    """vegan::mite by R 4.2.2; MASS 7.3.58.2."""
    counts = [int(row[taxon]) for row in rows("soil_mites")]
    agrees_with_r(counts, about("soil_mites")["reference"]["nb_by_taxon"][taxon])


@pytest.mark.parametrize("spray", "ABCDEF")
def test_insects_under_each_spray(spray: str) -> None:
    """InsectSprays (Beall 1942) by R 4.2.2; MASS 7.3.58.2; spray E scatters less than chance."""
    counts = [int(row["count"]) for row in rows("insect_sprays") if row["spray"] == spray]
    agrees_with_r(counts, about("insect_sprays")["reference"]["per_spray"][spray])


def test_taylor_of_soil_mites() -> None:
    """Taylor's law over 35 taxa by R 4.2.2 (least squares of log10), and the boards it asks for."""
    table = rows("soil_mites")
    groups = [[int(row[taxon]) for row in table] for taxon in table[0] if taxon != "core"]
    want = about("soil_mites")["reference"]["taylor"]
    found = evaluate("taylor", {"groups": groups})
    assert found["n_groups"] == want["n_series"]
    for ours, theirs in (
        ("a", "a"),
        ("b", "b"),
        ("b_se", "se_b"),
        ("log10_a_se", "se_log10_a"),
        ("r2", "r2"),
    ):
        assert found[ours] == pytest.approx(want[theirs], rel=1e-8), ours
    for label, n in want["sample_size_D25"].items():
        given = {"method": "taylor", "mean": float(label[1:]), "d": 0.25, "a": found["a"], "b": found["b"]}
        assert evaluate("sample-size", given)["n_exact"] == pytest.approx(n, rel=1e-8)


@given(groups=st.lists(st.lists(st.integers(0, 60), min_size=3, max_size=12), min_size=3, max_size=12))
@settings(max_examples=60, deadline=None)
def test_taylor_is_the_line_of_scipy(groups: list[list[int]]) -> None:
    """scipy.stats.linregress on log10 mean and variance; statsmodels' OLS for the error of the slope.

    (scipy takes the error from 1 - r², which keeps no digits where the points lie on a line.)
    """
    from statsmodels.api import OLS, add_constant

    used = [g for g in groups if sum(x > 0 for x in g) > 1 and len(set(g)) > 1]
    assume(len(used) > 2)
    x = np.log10([np.mean(g) for g in used])
    y = np.log10([np.var(g, ddof=1) for g in used])
    # Means that hardly differ make the slope a quotient of rounding errors.
    assume(np.ptp(x) > 0.02 and np.ptp(y) > 1e-3)
    line = stats.linregress(x, y)
    found = evaluate("taylor", {"groups": groups})
    assert found["n_left_out"] == len(groups) - len(used)
    assert found["b"] == pytest.approx(line.slope, rel=1e-6, abs=1e-8)
    assert math.log10(found["a"]) == pytest.approx(line.intercept, rel=1e-6, abs=1e-8)
    error = OLS(y, add_constant(x)).fit().bse[1]
    assert found["b_se"] == pytest.approx(error, rel=1e-6, abs=1e-8)


@pytest.mark.parametrize(
    ("given", "exact", "n"),
    [
        ({"method": "poisson", "mean": 4}, 4, 4),
        ({"method": "negative_binomial", "mean": 4, "k": 1}, 20, 20),
        ({"method": "negative_binomial", "mean": 2.275, "k": 1.955}, 15.22, 16),
        ({"method": "negative_binomial", "mean": 1.275, "k": 0.4006}, 52.49, 53),
        ({"method": "negative_binomial", "mean": 4, "k": 1, "z": 1.96}, 76.83, 77),
        ({"method": "taylor", "mean": 4, "a": 2, "b": 1.5}, 16, 16),
        ({"method": "iwao", "mean": 4, "alpha": 0.5, "beta": 1.4}, 12.4, 13),
    ],
)
def test_number_of_boards(given: dict[str, float], exact: float, n: int) -> None:
    """Southwood; Karandinos 1976; Taylor 1961; Iwao 1968: formulas from memory, figures computed from them."""
    found = evaluate("sample-size", {"d": 0.25, **given})
    assert found["n_exact"] == pytest.approx(exact, abs=6e-3) and found["n"] == n


def test_stop_lines() -> None:
    """Green 1970, Kuno 1969, Oakland 1950 (formulas from memory, figures computed from them)."""
    green = evaluate("stop-line", {"method": "green", "a": 2, "b": 1.5, "d": 0.25, "n": [5, 10, 20, 32, 40]})
    assert [line["stop_total"] for line in green["lines"]] == pytest.approx([204.8, 102.4, 51.2, 32, 25.6])
    kuno = evaluate("stop-line", {"method": "kuno", "alpha": 0.5, "beta": 1.4, "d": 0.25, "n": [20]})
    assert kuno["lines"][0]["stop_total"] == pytest.approx(35.29, abs=5e-3)
    wald = evaluate(
        "stop-line",
        {"method": "wald", "mean0": 1, "mean1": 4, "k": 1, "error_low": 0.1, "error_high": 0.1, "n": [4, 9]},
    )
    assert (wald["slope"], wald["intercept"]) == (
        pytest.approx(1.9495, abs=5e-5),
        pytest.approx(4.6749, abs=5e-5),
    )
    drawn = [(line["lower"], line["upper"]) for line in wald["lines"]]
    assert drawn[0] == pytest.approx((3.12, 12.47), abs=6e-3)
    assert drawn[1] == pytest.approx((12.87, 22.22), abs=6e-3)


def test_wald_line_keeps_its_errors() -> None:
    """The plan is held against what it promises: simulated sampling at both means (Wald 1947)."""
    given = {"method": "wald", "mean0": 1, "mean1": 4, "k": 1, "error_low": 0.1, "error_high": 0.1}
    lines = evaluate("stop-line", {**given, "n": list(range(1, 301))})["lines"]
    rng = np.random.default_rng(5)
    for mean, wrong in ((1, "high"), (4, "low")):
        errors = 0
        for _ in range(1500):
            totals = rng.negative_binomial(1, 1 / (1 + mean), 300).cumsum()
            for line, total in zip(lines, totals, strict=True):
                if total > line["upper"] or total < line["lower"]:
                    errors += wrong == ("high" if total > line["upper"] else "low")
                    break
        assert errors / 1500 < 0.12


def likelihood(counts: list[int], m: float, k: float) -> float:
    return float(stats.nbinom.logpmf(counts, k, k / (k + m)).sum())


clumped = st.lists(st.integers(0, 40), min_size=3, max_size=25)


@given(counts=clumped)
@settings(max_examples=60, deadline=None)
def test_k_is_that_of_statsmodels(counts: list[int]) -> None:
    """statsmodels NegativeBinomial(loglike_method="nb2"), alpha = 1/k, and its log likelihood."""
    from statsmodels.discrete.discrete_model import NegativeBinomial

    found = evaluate("count-summary", {"counts": counts})
    assume(found["k"] is not None and 0.05 < found["k"] < 50)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = NegativeBinomial(counts, np.ones(len(counts)))
        start = [math.log(found["mean"]), 1 / found["k"] * 1.3]
        fit = model.fit(start_params=start, disp=0, method="bfgs", maxiter=500, gtol=1e-9)
    assert found["log_likelihood"] >= fit.llf - 1e-7
    assert found["log_likelihood"] == pytest.approx(fit.llf, abs=1e-5)
    assert found["log_likelihood"] == pytest.approx(likelihood(counts, found["mean"], found["k"]), abs=1e-8)
    assert 1 / found["k"] == pytest.approx(fit.params[-1], rel=2e-2, abs=2e-3)


@given(counts=clumped)
@settings(max_examples=40, deadline=None)
def test_limits_are_where_the_likelihood_has_fallen(counts: list[int]) -> None:
    """scipy.stats.nbinom and scipy.optimize.minimize_scalar: an independent profile of the mean."""
    from scipy.optimize import minimize_scalar

    found = evaluate("count-summary", {"counts": counts})
    assume(found["k"] is not None)
    drop = stats.chi2.ppf(0.95, 1) / 2
    for key in ("mean_low", "mean_high"):
        if found[key] is None or found[key] > 1e5:
            continue
        grid = np.linspace(-14, 14, 141)
        curve = [-likelihood(counts, found[key], math.exp(t)) for t in grid]
        best = int(np.argmin(curve))
        bounds = (grid[max(best - 1, 0)], grid[min(best + 1, 140)])
        fit = minimize_scalar(
            lambda t, m=found[key]: -likelihood(counts, m, math.exp(t)), bounds=bounds, method="bounded",
            options={"xatol": 1e-10},
        )  # fmt: skip
        assert found["log_likelihood"] + fit.fun == pytest.approx(drop, abs=1e-4)


def test_limits_by_cluster_are_those_of_statsmodels() -> None:
    """statsmodels GLM Poisson, cov_type="cluster" (correction G/(G - 1)), t of G - 1 on the log scale."""
    import statsmodels.api as sm

    clusters = [f"bed {i // 5}" for i in range(40)]
    found = evaluate("count-summary", {"counts": ROOKERY, "clusters": clusters})
    labels = np.array([i // 5 for i in range(40)])
    fit = sm.GLM(ROOKERY, np.ones(40), family=sm.families.Poisson()).fit(
        cov_type="cluster", cov_kwds={"groups": labels}
    )
    reach = stats.t.ppf(0.975, 7) * fit.bse[0]
    assert found["mean_low_cluster"] == pytest.approx(math.exp(fit.params[0] - reach), rel=1e-6)
    assert found["mean_high_cluster"] == pytest.approx(math.exp(fit.params[0] + reach), rel=1e-6)
    assert any("too narrow" in caution for caution in found["cautions"])
