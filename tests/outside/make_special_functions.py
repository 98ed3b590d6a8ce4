"""Write fixtures/outside/special_functions.json: special functions and quantiles as scipy computes them.

Run by hand: python tests/outside/make_special_functions.py. The TypeScript special functions of the client
are held against this file, so that no expected value comes from our own code.
"""

import json
from pathlib import Path

import scipy
from scipy import special, stats

OUT = Path(__file__).parents[2] / "fixtures" / "outside" / "special_functions.json"

SHAPES = [0.05, 0.3, 0.5, 1, 1.5, 2, 4.5, 9.99, 10, 30, 200.5, 5000]
TAILS = [1e-12, 1e-4, 0.005, 0.025, 0.05, 0.3, 0.5, 0.8, 0.95, 0.999]


def log_gamma() -> list[list[float]]:
    xs = [1e-6, 0.05, 0.5, 1.5, 2.5, 3, 7.7, 9.999, 10, 12.5, 100, 1234.5, 1e6]
    return [[x, float(special.gammaln(x))] for x in xs]


def incomplete_gamma() -> list[list[float]]:
    rows = []
    for a in SHAPES:
        for factor in (0.05, 0.5, 0.9, 1, 1.1, 2, 5):
            x = a * factor
            rows.append([a, x, float(special.gammainc(a, x)), float(special.gammaincc(a, x))])
    return rows


def gamma_quantile() -> list[list[float]]:
    return [
        [a, p, float(special.gammaincinv(a, p)), float(special.gammainccinv(a, p))]
        for a in SHAPES
        for p in TAILS
        if special.gammaincinv(a, p) > 1e-250
    ]


def beta() -> list[list[float]]:
    pairs = [(0.5, 0.5), (1, 10), (3, 18), (4, 17), (0.5, 3.5), (20, 1), (100, 250.5), (2000, 8000)]
    rows = []
    for a, b in pairs:
        for p in (1e-9, 0.025, 0.05, 0.5, 0.975):
            x = float(special.betaincinv(a, b, p))
            rows.append(
                [a, b, p, x, float(special.betaincinv(b, a, p)), float(special.betainc(a, b, x * 0.9))]
            )
    return rows


def student_t() -> list[list[float]]:
    rows = []
    for df in (1, 2, 3, 7, 9, 25, 100, 1500):
        for level in (0.1, 0.5, 0.8, 0.9, 0.95, 0.99, 0.9999):
            t = float(stats.t.ppf(0.5 + level / 2, df))
            rows.append([df, level, t, float(stats.t.cdf(-0.7 * t, df)), float(stats.t.cdf(0.7 * t, df))])
    return rows


def main() -> None:
    OUT.write_text(
        json.dumps(
            {
                "source": "computed",
                "computed_with": f"scipy {scipy.__version__} (special, stats)",
                "columns": {
                    "log_gamma": ["x", "value"],
                    "incomplete_gamma": ["a", "x", "lower", "upper"],
                    "gamma_quantile": ["a", "p", "x_lower_tail", "x_upper_tail"],
                    "beta": ["a", "b", "p", "x", "x_of_swapped", "cdf_at_0.9x"],
                    "student_t": ["df", "level", "t", "cdf_minus_0.7t", "cdf_0.7t"],
                    "normal_two_sided": ["level", "z"],
                },
                "log_gamma": log_gamma(),
                "incomplete_gamma": incomplete_gamma(),
                "gamma_quantile": gamma_quantile(),
                "beta": beta(),
                "student_t": student_t(),
                "normal_two_sided": [
                    [level, float(stats.norm.isf((1 - level) / 2))]
                    for level in (0.5, 0.8, 0.9, 0.95, 0.99, 0.999)
                ],
            },
            indent=1,
        )
        + "\n"
    )


if __name__ == "__main__":
    main()
