"""What alarms and trends do at their edges."""

from __future__ import annotations

import time
from random import Random
from typing import Any

import pytest

from underboard.core.agronomy import evaluate
from underboard.core.errors import InputFault


def refused(given: dict[str, Any], name: str = "surge") -> str:
    with pytest.raises(InputFault) as caught:
        evaluate(name, given)
    return caught.value.pointer


def alarms(given: dict[str, Any]) -> list[int]:
    return [point["i"] for point in evaluate("surge", given)["points"] if point["alarm"]]


def quiet(rounds: int, boards: int = 12, seed: int = 1) -> list[list[int | None]]:
    rng = Random(seed)
    return [[rng.choice([0, 1, 2, 3, 4, 2]) for _ in range(boards)] for _ in range(rounds)]


@pytest.mark.parametrize(
    ("given", "pointer"),
    [
        ({"method": "ears_c1"}, "/counts"),
        ({"method": "boards", "counts": [1, 2]}, "/rounds"),
        ({"method": "cusum", "counts": [1], "h": 5}, "/k"),
        ({"method": "cusum", "counts": [1], "k": 2}, "/h"),
        ({"method": "cusum", "counts": [1], "k": 2, "h": 0}, "/h"),
        ({"method": "cusum", "counts": [1], "k": 2, "h": 5, "standardise": True}, "/mean"),
        ({"method": "cusum", "counts": [1], "k": 2, "h": 5, "standardise": {"mean": 2}}, "/standardise/sd"),
        ({"method": "cusum", "counts": [1], "k": 2, "h": 5, "standardise": {"sd": 2}}, "/standardise/mean"),
        (
            {"method": "cusum", "counts": [1], "k": 2, "h": 5, "standardise": {"mean": 0, "variance": "poisson"}},
            "/standardise/mean",
        ),
        (
            {"method": "cusum", "counts": [1], "k": 2, "h": 5,
             "standardise": {"mean": 1, "sd": 1, "variance": "poisson"}},
            "/standardise/sd",
        ),
        ({"method": "farrington", "counts": [1] * 30, "frequency": 6}, "/w"),
        ({"method": "boards", "rounds": [[1], [1, 2]]}, "/rounds/1"),
        ({"method": "boards", "rounds": [[1], [1]], "alpha": 0.6}, "/alpha"),
        ({"method": "ears_c1", "counts": [1, -1]}, "/counts/1"),
        ({"method": "ears_c1", "counts": [1], "baseline": 2}, "/baseline"),
        ({"method": "never", "counts": [1]}, "/method"),
    ],
)  # fmt: skip
def test_nonsense_is_refused(given: dict[str, Any], pointer: str) -> None:
    assert refused(given) == pointer


@pytest.mark.parametrize(
    ("method", "needed"), [("ears_c1", "8"), ("ears_c2", "10"), ("ears_c3", "12"), ("farrington", "264")]
)
def test_a_short_series_is_a_result(method: str, needed: str) -> None:
    assert evaluate("surge", {"method": method, "counts": []})["why_not"]
    found = evaluate("surge", {"method": method, "counts": [1, 2, 3]})
    assert found["points"] == [] and needed in found["why_not"][0]


def test_a_series_that_never_varied() -> None:
    """Zero variance without a floor: the limit is the mean, the score empty, and any rise an alarm."""
    found = evaluate("surge", {"method": "ears_c1", "counts": [3] * 8 + [4]})
    assert found["points"][0]["limit"] == 3
    assert [point["alarm"] for point in found["points"]] == [False, True]
    assert found["points"][0]["score"] is None and any("min_sd" in word for word in found["cautions"])
    third = evaluate("surge", {"method": "ears_c3", "counts": [3] * 11 + [4, 3]})
    assert [point["alarm"] for point in third["points"]] == [True, True]


def test_places_not_surveyed_are_passed_over() -> None:
    whole = evaluate("surge", {"method": "ears_c2", "counts": [3, 5, 2, 4, 6, 3, 5, 4, 3, 9]})
    gaps = [3, None, 5, 2, 4, None, None, 6, 3, 5, 4, 3, 9, None]
    found = evaluate("surge", {"method": "ears_c2", "counts": gaps})
    assert [point["i"] for point in found["points"]] == [12]
    assert found["points"][0]["limit"] == whole["points"][0]["limit"]
    held = evaluate("surge", {"method": "cusum", "counts": [5, None, 5], "k": 3, "h": 4})
    assert [(point["i"], point["score"]) for point in held["points"]] == [(0, 2), (2, 4)]


def test_cusum_head_start_and_reset() -> None:
    given = {"method": "cusum", "counts": [5, 5, 5, 5], "k": 3, "h": 5}
    assert alarms(given) == [2, 3]
    assert alarms({**given, "head_start": 2.5}) == [1, 2, 3]
    assert alarms({**given, "reset": True}) == [2]


def test_farrington_passes_gaps_over_and_never_alarms_on_a_handful() -> None:
    years = [0, 1, 0, 2, 0, 1] * 6
    base = {"method": "farrington", "b": 3, "w": 1, "frequency": 6, "alpha": 0.05}
    # 4 stands far above the limit, but with fewer than 5 in the last four units there is no alarm.
    low = evaluate("surge", {**base, "counts": [0] * 30 + [4]})
    assert not low["points"][-1]["alarm"] and low["points"][-1]["limit"] < 4
    high = evaluate("surge", {**base, "counts": [0] * 30 + [5]})
    assert high["points"][-1]["alarm"]
    holes = evaluate("surge", {**base, "counts": [None, *years[1:20], None, *years[21:]]})
    assert 20 not in [point["i"] for point in holes["points"]] and holes["points"]
    nothing = evaluate("surge", {**base, "counts": [None] * 30 + [5]})
    assert nothing["points"] == [] and nothing["why_not"]


def test_farrington_is_quick_on_six_years() -> None:
    """300 weeks of limits in under 1.5 s of processor time."""
    rng = Random(4)
    counts = [rng.choice([0, 1, 2, 3, 5, 8]) for _ in range(300 + 159)]
    given = {"method": "farrington", "counts": counts, "b": 3}
    evaluate("surge", given)
    start = time.process_time()
    assert len(evaluate("surge", given)["points"]) == 300
    assert time.process_time() - start < 1.5


def test_boards_begin_after_five_rounds_with_a_caution() -> None:
    few = evaluate("surge", {"method": "boards", "rounds": quiet(5)})
    assert few["points"] == [] and "5 earlier rounds" in few["why_not"][0]
    some = evaluate("surge", {"method": "boards", "rounds": quiet(6)})
    assert [point["i"] for point in some["points"]] == [5]
    assert any("rough" in caution for caution in some["cautions"])
    many = evaluate("surge", {"method": "boards", "rounds": quiet(20)})
    assert not any("rough" in caution for caution in many["cautions"])


def test_a_rise_on_all_boards_raises_the_alarm() -> None:
    rounds = [*quiet(15), [6] * 12]
    assert 15 in alarms({"method": "boards", "rounds": rounds})


def test_the_best_board_missing_is_no_drop_and_its_return_no_surge() -> None:
    """Each board is compared with itself: the expectation follows which boards were turned."""
    rng = Random(8)
    rounds: list[list[int | None]] = [
        [rng.randint(15, 25), *(rng.randint(0, 2) for _ in range(7))] for _ in range(12)
    ]
    gone = [[None, *row[1:]] for row in rounds[:1]]
    found = evaluate("surge", {"method": "boards", "rounds": [*rounds, *gone, rounds[0]]})["points"]
    without, back = found[-2], found[-1]
    assert without["expected"] < 12 < 20 < back["expected"] < 40
    assert not without["alarm"] and not back["alarm"]


def test_rounds_without_a_board_and_boards_never_turned() -> None:
    rounds: list[list[int | None]] = [[*row, None] for row in quiet(12, boards=5)]
    gaps = [*rounds[:6], [None] * 6, *rounds[6:]]
    found = evaluate("surge", {"method": "boards", "rounds": gaps})["points"]
    assert 6 not in [point["i"] for point in found]
    plain = evaluate("surge", {"method": "boards", "rounds": rounds})["points"]
    assert [point["limit"] for point in found] == [point["limit"] for point in plain]


def test_nothing_for_weeks_and_then_one_slug() -> None:
    rounds = [[0] * 6] * 8
    found = evaluate("surge", {"method": "boards", "rounds": [*rounds, [0, 1, 0, 0, 0, 0]]})["points"]
    assert all(point["expected"] > 0 for point in found) and not found[-1]["alarm"]
    assert evaluate("surge", {"method": "boards", "rounds": [*rounds, [3, 1, 0, 2, 0, 4]]})["points"][-1][
        "alarm"
    ]


def test_an_earlier_surge_hides_no_later_one() -> None:
    """Two surge rounds in the past hardly move the limit."""
    calm, high = quiet(16, seed=3), [[7] * 12, [8] * 12]
    plain = evaluate("surge", {"method": "boards", "rounds": [*calm, high[0]]})["points"][-1]
    after = evaluate("surge", {"method": "boards", "rounds": [*calm[:8], *high, *calm[8:], high[0]]})[
        "points"
    ][-1]
    assert after["alarm"] and after["limit"] < 1.15 * plain["limit"]


def test_a_rise_is_not_told_twice_by_the_same_round() -> None:
    """Windows of two and three rounds do not reach back past an alarm."""
    calm = quiet(16, seed=5)
    one = [*calm, [9] * 12, calm[3]]
    assert alarms({"method": "boards", "rounds": one}) == [16]


def test_huge_boards_stay_finite() -> None:
    rounds = [[10**9, 0, 5]] * 6 + [[0, 10**9, 7]]
    found = evaluate("surge", {"method": "boards", "rounds": rounds})
    assert all(isinstance(point["limit"], float) for point in found["points"])


@pytest.mark.parametrize(
    ("given", "pointer"),
    [
        ({"values": [1, 2], "times": [1]}, "/times"),
        ({"values": [1, 2], "times": [2, 2]}, "/times/1"),
        ({"values": [1, "x"]}, "/values/1"),
        ({"values": [1, 2], "period": 0}, "/period"),
    ],
)
def test_nonsense_series_are_refused(given: dict[str, Any], pointer: str) -> None:
    assert refused(given, "trend") == pointer


def test_trends_of_too_little() -> None:
    for values in ([], [3.0], [None, 3.0], [2, 2, 2, 2, 2]):
        found = evaluate("trend", {"values": values})
        assert found["p"] is None and found["why_not"]
    two = evaluate("trend", {"values": [1, 2]})
    assert two["slope"] == 1 and two["slope_low"] is None and two["why_not"]
    apart = evaluate("trend", {"values": [1, 2, 3], "period": 4})
    assert apart["slope"] is None and apart["why_not"]


def test_missing_values_keep_their_season_and_time() -> None:
    whole = evaluate("trend", {"values": [1, 9, 2, 10, 3, 11, 4, 12], "period": 2})
    holes = evaluate("trend", {"values": [1, 9, None, 10, 3, None, 4, 12], "period": 2})
    assert whole["slope"] == holes["slope"] == 1
    assert any("2 missing" in caution for caution in holes["cautions"])


def test_series_that_go_down() -> None:
    found = evaluate("trend", {"values": [9, 8, 8, 6, 5, 5, 3, 2, 1, 1, 0, 0]})
    assert found["s"] < 0 and found["z"] < 0 and found["slope_high"] < 0
