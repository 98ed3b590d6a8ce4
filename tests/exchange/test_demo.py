"""The invented demo plot: valid records, the promised story, and the same story every time."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import date
from itertools import pairwise
from typing import Any

import pytest

from underboard.core.records.check import check_set
from underboard.exchange.demo import member_names, scenario_ops

PLOT = "01890000-0000-7000-8000-000000000000"
PHONES = ("first", "second", "third")
TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def said() -> list[tuple[str, dict[str, Any]]]:
    return list(scenario_ops(PLOT, PHONES, TODAY))


def of_type(said: list[tuple[str, dict[str, Any]]], name: str) -> list[dict[str, Any]]:
    return [op["set"] for _, op in said if op["type"] == name and op["base_rev"] == 0]


@pytest.mark.parametrize("today", [date(2026, 11, 25), date(2027, 1, 1), date(2028, 2, 29), date(2027, 6, 1)])
def test_every_operation_is_one_the_server_takes(today: date) -> None:
    made: set[str] = set()
    faults = []
    for _, op in scenario_ops(PLOT, PHONES, today):
        faults += check_set(op["type"], op["set"], creating=op["id"] not in made)
        made.add(op["id"])
    assert faults == []


def test_the_holding_has_what_is_promised(said: list[tuple[str, dict[str, Any]]]) -> None:
    kinds = Counter(station["kind"] for station in of_type(said, "station"))
    assert kinds == {"slug_board": 26, "bait_trap": 8, "thermometer": 5}
    assert [role for _, role, _ in member_names()] == ["owner", "helper", "helper"]
    assert of_type(said, "plot")[0]["invented"] is True
    assert "invented" in of_type(said, "plot")[0]["name"].lower()


def test_every_station_stands_inside_its_own_place_on_the_sketch(
    said: list[tuple[str, dict[str, Any]]],
) -> None:
    outlines = {op["id"]: op["set"]["outline"] for _, op in said if op["type"] == "place"}
    stations = of_type(said, "station")
    for station in stations:
        (left, top), _, (right, bottom), _ = outlines[station["place_id"]]
        assert left < station["x_m"] < right and top < station["y_m"] < bottom, station["label"]
    spots = Counter((station["x_m"], station["y_m"]) for station in stations)
    assert max(spots.values()) == 1  # none hides another


def test_two_seasons_with_gaps_a_frost_and_a_surge(said: list[tuple[str, dict[str, Any]]]) -> None:
    rounds = {op["id"]: op["set"] for _, op in said if op["type"] == "round"}
    days = sorted(r["observed_at"][:10] for r in rounds.values())
    assert days[0] < "2025-03-31" and days[-1] == "2026-11-24"
    gaps = [(date.fromisoformat(b) - date.fromisoformat(a)).days for a, b in pairwise(days)]
    assert max(gaps) >= 6  # missed mornings
    lows = [t["min"]["value"] for t in of_type(said, "temperature") if "min" in t]
    assert min(low for low in lows) < 0
    night = [r["night_low"]["value"] for r in rounds.values() if r["observed_at"][:10] == "2026-04-29"]
    read = [
        t["min"]["value"]
        for t in of_type(said, "temperature")
        if "2026-04-29" in t["observed_at"] and "min" in t
    ]
    assert min(night + read) < 0  # the late frost was seen
    totals: dict[str, int] = defaultdict(int)
    for count in of_type(said, "slug_count"):
        totals[rounds[count["round_id"]]["observed_at"][:10]] += count.get("count", 0)
    surge = [n for day, n in totals.items() if "2026-08-26" <= day <= "2026-09-05"]
    usual = [n for day, n in totals.items() if "2026-06-01" <= day <= "2026-08-15"]
    assert max(surge) > 2 * sum(usual) / len(usual)


def test_the_four_states_are_all_there(said: list[tuple[str, dict[str, Any]]]) -> None:
    counts = of_type(said, "slug_count")
    states = Counter(count["state"] for count in counts)
    assert set(states) == {"counted", "none_found", "not_turned", "spoiled"}
    rounds = len(of_type(said, "round"))
    assert len(counts) < 26 * rounds  # boards walked past leave no record at all


def test_one_double_count_and_one_conflict_are_left_open(said: list[tuple[str, dict[str, Any]]]) -> None:
    seen: dict[tuple[str, str], set[str]] = defaultdict(set)
    for count in of_type(said, "slug_count"):
        seen[count["round_id"], count["station_id"]].add(count["observer"])
    assert sum(len(observers) > 1 for observers in seen.values()) == 1
    edits = [(device, op["id"], op["set"]["count"]) for device, op in said if op["base_rev"] == 1]
    assert len({record for _, record, _ in edits}) == 1
    assert len({device for device, _, _ in edits}) == len({count for _, _, count in edits}) == 2


def test_same_day_same_story_other_plot_other_ids(said: list[tuple[str, dict[str, Any]]]) -> None:
    assert list(scenario_ops(PLOT, PHONES, TODAY)) == said
    other = list(scenario_ops("01890000-0000-7000-8000-00000000000f", PHONES, TODAY))
    assert {op["id"] for _, op in other}.isdisjoint({op["id"] for _, op in said})
    counts = [op["set"].get("count") for _, op in said if op["type"] == "slug_count"]
    assert [op["set"].get("count") for _, op in other if op["type"] == "slug_count"] == counts


def test_the_trial_has_all_that_its_screen_shows(said: list[tuple[str, dict[str, Any]]]) -> None:
    (trial,) = of_type(said, "trial")
    treatments = {op["id"]: op["set"] for _, op in said if op["type"] == "treatment"}
    (own,) = (treatments[one] for one in trial["treatment_ids"])
    assert (own["kind"], own["observed_at"][:10]) == (trial["kind"], trial["treat_on"])
    assert (own["place_ids"], own["control_place_ids"]) == (trial["treated_ids"], trial["control_ids"])
    boards = Counter(one["place_id"] for one in of_type(said, "station") if one["kind"] == "slug_board")
    for side in ("treated_ids", "control_ids"):
        assert sum(boards[place] for place in trial[side]) >= 6
    days = [r["observed_at"][:10] for r in of_type(said, "round") if r["valid"]]
    for phase in ("before", "after"):
        assert sum(trial[f"{phase}_from"] <= day <= trial[f"{phase}_to"] for day in days) >= 4
