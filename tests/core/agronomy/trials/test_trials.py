"""What the calculations of trials do at their edges."""

from __future__ import annotations

from typing import Any

import pytest

from underboard.core.agronomy import evaluate
from underboard.core.errors import InputFault


def refused(name: str, given: dict[str, Any]) -> str:
    with pytest.raises(InputFault) as caught:
        evaluate(name, given)
    return caught.value.pointer


def before_after(
    tb: float, ta: float, cb: float, ca: float, method: str = "henderson_tilton"
) -> dict[str, Any]:
    return {
        "method": method, "treated_before": tb, "treated_after": ta, "control_before": cb, "control_after": ca,
    }  # fmt: skip


@pytest.mark.parametrize(
    "given",
    [
        before_after(20, 8, 18, 0),
        before_after(0, 8, 18, 5),
        before_after(20, 8, 0, 5),
        {"method": "abbott_counts", "treated_after": 4, "control_after": 0},
        {"method": "schneider_orelli", "treated_mortality": 50, "control_mortality": 100},
        {"method": "sun_shepard", "treated_mortality": 50, "control_change": -100},
        {"method": "sun_shepard", "treated_mortality": 50, "control_before": 0, "control_after": 4},
    ],
)
def test_nothing_to_compare_with_is_a_result(given: dict[str, Any]) -> None:
    found = evaluate("efficacy", given)
    assert found["percent"] is None and found["low"] is None and found["why_not"]


def test_a_treatment_that_did_harm_is_shown_as_negative() -> None:
    found = evaluate("efficacy", before_after(10, 40, 10, 20))
    assert found["percent"] == -100 and found["low"] < -100


def test_nothing_left_where_treated() -> None:
    found = evaluate("efficacy", before_after(20, 0, 18, 24))
    assert found["percent"] == 100 and found["high"] == 100 and 0 < found["low"] < 100
    assert any("half" in caution for caution in found["cautions"])
    share = evaluate(
        "efficacy",
        {"method": "abbott_percent", "alive_check": 80, "alive_treated": 0, "n_treated": 20, "n_control": 20},
    )
    assert share["percent"] == 100 and share["low"] is None and share["why_not"]


def test_percentages_alone_carry_no_interval() -> None:
    given = {"method": "abbott_percent", "alive_check": 50, "alive_treated": 2}
    assert evaluate("efficacy", given)["low"] is None
    assert evaluate("efficacy", {**given, "n_treated": 100, "n_control": 100})["low"] is not None


def test_cautions_of_an_interval() -> None:
    assert len(evaluate("efficacy", before_after(20.5, 2, 18, 24))["cautions"]) == 3
    assert evaluate("efficacy", {**before_after(20, 8, 18, 24), "dispersion": 3})["cautions"] == []


@pytest.mark.parametrize(
    ("given", "pointer"),
    [
        ({"method": "abbott_counts", "treated_after": 4}, "/control_after"),
        ({"method": "sun_shepard", "treated_mortality": 4}, "/control_change"),
        ({"method": "baci", "treated_before": 1}, "/treated_after"),
        (
            {"method": "schneider_orelli", "treated_mortality": 101, "control_mortality": 1},
            "/treated_mortality",
        ),
        (before_after(-1, 2, 3, 4), "/treated_before"),
        ({"method": "guess"}, "/method"),
    ],
)
def test_nonsense_effects_are_refused(given: dict[str, Any], pointer: str) -> None:
    assert refused("efficacy", given) == pointer


@pytest.mark.parametrize(
    ("given", "pointer"),
    [
        ({"groups": {"a": [1]}}, "/groups"),
        ({"groups": {"a": [1], "b": []}}, "/groups/b"),
        ({"groups": {"a": [1], "b": [2]}, "effort": {"a": [1]}}, "/effort/b"),
        ({"groups": {"a": [1], "b/c": [2]}, "effort": {"a": [1], "b/c": [1, 2]}}, "/effort/b~1c"),
        ({"groups": {"a": [1], "b": [2]}, "effort": {"a": [1], "b": [1], "c": [1]}}, "/effort/c"),
        ({"groups": {"a": [1], "b": [2]}, "reference": "c"}, "/reference"),
        ({"groups": {"a": [1, -2], "b": [2]}}, "/groups/a/1"),
        ({"groups": {"a": [1], "b": [2]}, "effort": {"a": [0], "b": [1]}}, "/effort/a/0"),
    ],
)
def test_nonsense_groups_are_refused(given: dict[str, Any], pointer: str) -> None:
    assert refused("compare", given) == pointer


def test_which_interval_to_believe() -> None:
    even = evaluate("compare", {"groups": {"a": [3, 3, 4, 3], "b": [2, 3, 2, 2]}})
    assert even["believe"] == "poisson" and even["theta"] is None and even["why_not"]
    few = evaluate("compare", {"groups": {"a": [0, 9, 1, 14, 2, 0], "b": [3, 0, 0, 7, 0, 1]}})
    assert few["believe"] == "quasi" and "few" in few["headline"]
    many = evaluate("compare", {"groups": {"a": [0, 9, 1, 14, 2, 0] * 6, "b": [3, 0, 0, 7, 0, 1] * 6}})
    assert many["believe"] == "nb"
    single = evaluate("compare", {"groups": {"a": [4], "b": [9]}})
    assert single["believe"] == "none" and single["dispersion"] is None


def test_a_group_without_any() -> None:
    found = evaluate("compare", {"groups": {"a": [5, 3, 9, 1], "b": [0, 0, 0, 0]}})
    ratio = found["ratios"][0]
    assert ratio["ratio"] == 0 and ratio["exact_low"] == 0 and 0 < ratio["poisson_high"] < 1
    assert any("Nothing was counted in b" in word for word in found["why_not"])
    turned = evaluate("compare", {"groups": {"a": [5, 3], "b": [0, 0]}, "reference": "b"})
    assert turned["ratios"][0]["ratio"] is None and turned["believe"] == "none"
    nothing = evaluate("compare", {"groups": {"a": [0, 0], "b": [0, 0]}})
    assert nothing["kruskal_p"] is None and nothing["ratios"][0]["exact_high"] is None


def test_unequal_effort_moves_the_clumped_ratio() -> None:
    groups = {"a": [2, 9, 0, 14], "b": [1, 0, 6, 2]}
    found = evaluate("compare", {"groups": groups, "effort": {"a": [1, 2, 1, 3], "b": [1, 1, 3, 1]}})
    ratio = found["ratios"][0]
    assert ratio["ratio"] == pytest.approx((9 / 6) / (25 / 7))
    assert ratio["nb_ratio"] != pytest.approx(ratio["ratio"], rel=1e-6)


def test_shuffling_at_its_edges() -> None:
    empty = evaluate("permutation-test", {"treated": [], "control": [1]})
    assert empty["p"] is None and empty["why_not"]
    apart = {"treated": [1, 2], "control": [5, 6], "blocks": ["a", "a", "b", "b"]}
    alone = evaluate("permutation-test", apart)
    assert alone["p"] is None and "shuffle" in alone["why_not"][0]
    assert refused("permutation-test", {**apart, "blocks": ["a"]}) == "/blocks"
    three = evaluate("permutation-test", {"treated": [1], "control": [5, 6]})
    assert three["p"] == pytest.approx(1 / 3) and "3 arrangements" in three["cautions"][0]
    big = {"treated": list(range(1000)), "control": list(range(5, 1005)), "seed": 3}
    drawn = evaluate("permutation-test", big)
    assert not drawn["exact"] and 0.5 < drawn["p"] <= 1
    pairs = {**big, "blocks": [str(i) for i in range(1000)]}
    assert evaluate("permutation-test", pairs)["p"] < 0.001


def test_boards_that_keep_their_character_need_more_boards_not_more_rounds() -> None:
    given = {"mean": 3, "k": 0.8, "n_boards": 8, "n_rounds": 10, "percent_fewer": 50}
    found = evaluate("trial-power", given)
    assert found["power_boards_keep"] < found["power"]
    assert found["n_boards_needed"] < found["n_boards_needed_boards_keep"]
    once = evaluate("trial-power", {**given, "n_rounds": 1})
    assert once["power"] == pytest.approx(once["power_boards_keep"])
    needed = evaluate("trial-power", {**given, "n_boards": found["n_boards_needed"]})
    assert (
        needed["power"]
        >= 0.8
        > evaluate("trial-power", {**given, "n_boards": found["n_boards_needed"] - 1})["power"]
    )


def test_a_trial_that_can_never_show_it() -> None:
    found = evaluate(
        "trial-power", {"mean": 1e-6, "k": 1e-6, "n_boards": 1, "n_rounds": 1, "percent_fewer": 0.01}
    )
    assert found["n_boards_needed"] is None and found["why_not"]
