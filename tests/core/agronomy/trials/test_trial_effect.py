"""What the effect of a trial does: against the plain formula, under chance, and at its edges."""

from __future__ import annotations

from random import Random
from typing import Any

import numpy as np
import pytest

from underboard.core.agronomy import evaluate

EXAMPLE: dict[str, Any] = {
    **{"treated_before": [20, 3, 14, 9, 2, 31], "treated_after": [2, 6, 1, 9, 1, 16]},
    **{"control_before": [11, 25, 4, 8, 17, 6], "control_after": [30, 12, 9, 3, 28, 2]},
}


def test_it_is_henderson_and_tilton_with_the_scatter_of_the_boards() -> None:
    """With equal effort and no blocks the ratio and its standard error are those of `efficacy`."""
    found = evaluate("trial-effect", EXAMPLE)
    totals = {name: sum(counts) for name, counts in EXAMPLE.items()}
    plain = evaluate("efficacy", {"method": "henderson_tilton", **totals, "dispersion": found["dispersion"]})
    assert found["percent"] == pytest.approx(plain["percent"])
    assert found["se_log_ratio"] == pytest.approx(plain["se_log_ratio"])
    assert found["dispersion"] > 2  # these boards do not move together
    assert found["high"] > plain["high"] and found["low"] < plain["low"]  # t is wider than the normal law


def test_order_and_empty_units_change_nothing() -> None:
    rng = Random(4)
    order = list(range(6))
    rng.shuffle(order)
    turned = {name: [counts[i] for i in order] for name, counts in EXAMPLE.items()}
    more = {**turned, **{f"treated_{when}": [*turned[f"treated_{when}"], 0] for when in ("before", "after")}}
    found, other = evaluate("trial-effect", EXAMPLE), evaluate("trial-effect", more)
    assert other["percent"] == pytest.approx(found["percent"])
    assert other["low"] == pytest.approx(found["low"])
    assert any("left out" in words for words in other["cautions"])


def test_a_season_that_doubles_everything_is_no_effect() -> None:
    given = {
        **{"treated_before": [4, 6, 2, 8], "treated_after": [8, 12, 4, 16]},
        **{"control_before": [3, 5, 9, 1], "control_after": [6, 10, 18, 2]},
    }
    found = evaluate("trial-effect", given)
    assert found["percent"] == pytest.approx(0, abs=1e-9)
    assert found["p"] == pytest.approx(1)
    assert found["low"] < 0 < found["high"]


@pytest.mark.parametrize(("boards", "k"), [(4, 1.0), (8, 1.0), (8, 4.0)])
def test_the_interval_holds_the_truth_as_often_as_it_says(boards: int, k: float) -> None:
    """800 simulated trials: boards good and bad (gamma), each changing by itself (gamma, k), half as many treated."""
    random = np.random.default_rng(20261126)
    held = told = 0
    for _ in range(800):
        spot = random.gamma(1.5, 8 / 1.5, size=2 * boards)
        before = random.poisson(spot)
        times = np.where(np.arange(2 * boards) < boards, 0.5, 1.0)
        after = random.poisson(spot * times * random.gamma(4 * k, 1 / (4 * k), size=2 * boards))
        found = evaluate(
            "trial-effect",
            {
                "treated_before": before[:boards].tolist(),
                "treated_after": after[:boards].tolist(),
                "control_before": before[boards:].tolist(),
                "control_after": after[boards:].tolist(),
            },
        )
        if found["ratio"] is None:
            continue
        told += 1
        held += found["ratio_low"] <= 0.5 and (found["ratio_high"] is None or found["ratio_high"] >= 0.5)
    assert told > 780
    assert 0.92 < held / told < 0.995, held / told


@pytest.mark.parametrize(("boards", "k"), [(6, 0.8), (12, 0.8), (6, 3.0)])
def test_the_planner_promises_neither_too_much_nor_too_little(boards: int, k: float) -> None:
    """300 simulated trials of 4 rounds before and after, half as many left: what `trial-power` promised is found.

    Both come out about in its range. Where boards keep their character the counts before help, where every count is
    a fresh draw they cost something: as the planner's screen says.
    """
    random = np.random.default_rng(26)
    left = np.where(np.arange(2 * boards) < boards, 0.5, 1.0)

    def share_found(keep: bool) -> float:
        found = 0
        for _ in range(300):
            spot = random.gamma(k, 3 / k, 2 * boards)[:, None] * np.ones((1, 8))
            level = spot if keep else random.gamma(k, 3 / k, (2 * boards, 8))
            before = random.poisson(level[:, :4]).sum(axis=1)
            after = random.poisson(level[:, 4:] * left[:, None]).sum(axis=1)
            sides = {"treated": slice(0, boards), "control": slice(boards, None)}
            given = {f"{side}_before": before[part].tolist() for side, part in sides.items()}
            given |= {f"{side}_after": after[part].tolist() for side, part in sides.items()}
            high = evaluate("trial-effect", given)["ratio_high"]
            found += high is not None and high < 1
        return found / 300

    promised = evaluate(
        "trial-power", {"mean": 3, "k": k, "n_boards": boards, "n_rounds": 4, "percent_fewer": 50}
    )
    low, high = sorted((promised["power"], promised["power_boards_keep"]))
    kept, fresh = share_found(keep=True), share_found(keep=False)
    assert low - 0.08 < fresh < kept < high + 0.25
