"""The surge rule: its numbers against a plain reckoning of the raw records, and what must always hold."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.warnings.demo_plot import demo_records, digest_of_records
from tests.core.warnings.made_facts import DAY, ask, at, made, place, station, treatment, walk
from underboard.core.agronomy import evaluate
from underboard.core.warnings.facts import Facts, StandingFact
from underboard.core.warnings.facts_of import facts_of
from underboard.core.warnings.terms import Due

FIRST = date(2026, 5, 1)
PLACES = (place("bed"), place("strip", "open_ground"))
BOARDS = tuple(station(f"b{n}", place_id="bed") for n in range(6)) + tuple(
    station(f"s{n}", place_id="strip") for n in range(3)
)
IDS = tuple(one.id for one in BOARDS)


def season(counts: list[list[int | None]], **more: Any) -> Facts:
    """Rounds two days apart with boards b0 … b5, s0 … s2 in this order."""
    rounds = [walk(FIRST + 2 * n * DAY, dict(zip(IDS, row, strict=True))) for n, row in enumerate(counts)]
    return made(PLACES, BOARDS, rounds=rounds, **more)


def quiet(n: int, seed: int = 3, mean: float = 2.0) -> list[list[int | None]]:
    return [[int(x) for x in row] for row in np.random.default_rng(seed).poisson(mean, (n, len(IDS)))]


def noon_after(n: int) -> Any:
    return at(FIRST + 2 * (n - 1) * DAY, 12)


def plot_due(dues: list[Due]) -> Due | None:
    return next((one for one in dues if one.key.startswith("plot:")), None)


def records_of(kind: str) -> list[dict[str, Any]]:
    return [one for one in demo_records() if one["type"] == kind and not one["deleted"]]


def raw_rounds() -> list[tuple[date, dict[str, int]]]:
    """Valid rounds of the demo's raw records with the worst number of each board, without the digest."""
    of_round: dict[str, dict[str, int]] = defaultdict(dict)
    for one in records_of("slug_count"):
        body = one["body"]
        if body["state"] not in ("counted", "none_found"):
            continue
        said = [body.get("count") or 0] + [c["set"]["count"] for c in one["conflicts"] if "count" in c["set"]]
        seen = of_round[body["round_id"]]
        seen[body["station_id"]] = max([*said, seen.get(body["station_id"], 0)])
    found = [
        (date.fromisoformat(one["body"]["observed_at"][:10]), of_round[one["id"]])
        for one in records_of("round")
        if one["body"]["kind"] == "dawn" and one["body"]["valid"] and of_round[one["id"]]
    ]
    return sorted(found, key=lambda pair: pair[0])


def old_enough(rounds: list[tuple[date, dict[str, int]]], n: int) -> bool:
    return (rounds[n][0] - rounds[n - 44][0]).days <= 215


def test_the_demo_alarms_on_the_days_of_a_plain_reckoning() -> None:
    rounds = raw_rounds()
    boards = sorted({board for _, counts in rounds for board in counts})
    matrix = [[counts.get(board) for board in boards] for _, counts in rounds]
    points = evaluate("surge", {"method": "boards", "rounds": matrix})["points"]
    # From here on the rounds that the rule learns from are the same as in the whole series: none is too old.
    newest = next(
        n for n in range(44, len(rounds)) if all(old_enough(rounds, m) for m in range(n, len(rounds)))
    )
    assert len(rounds) - newest > 30
    expected = {rounds[point["i"]][0] for point in points if point["alarm"] and point["i"] >= newest}
    facts = facts_of(digest_of_records(demo_records()))
    found = set()
    for n in range(newest + 1, len(rounds) + 1):
        day = rounds[n - 1][0]
        upto = made(
            facts.places.values(),
            facts.stations.values(),
            rounds=[one for one in facts.rounds if one.day <= day],
        )
        due = plot_due(ask("surge", upto, at(day, 20))[0])
        if due is not None and due.numbers["round_on"] == day.isoformat():
            found.add(day)
            total = due.numbers["slugs"]
            together = due.numbers["rounds_together"]
            assert total == sum(sum(counts.values()) for _, counts in rounds[n - together : n])
    assert {day for day in expected if date(2026, 8, 20) < day < date(2026, 9, 10)} == {
        date(2026, 8, 27), date(2026, 8, 31), date(2026, 9, 1), date(2026, 9, 5)
    }  # fmt: skip
    # The rule forgets alarms more than four rounds back, the reckoning of the whole series does not.
    assert len(expected ^ found) <= 1


def test_a_threefold_rise_is_one_warning_that_lasts_and_ends_after_two_quiet_rounds() -> None:
    counts = quiet(20)
    facts = season(counts)
    assert plot_due(ask("surge", facts, noon_after(20))[0]) is None
    standing: tuple[StandingFact, ...] = ()
    keys = []
    story = [[8] * 9, [9] * 9, [7] * 9, [2] * 9, [1] * 9, [2] * 9]
    for n in range(1, len(story) + 1):
        facts = season([*counts, *story[:n]], standing=standing)
        due = plot_due(ask("surge", facts, noon_after(20 + n))[0])
        keys.append(due.key if due else None)
        if due is not None:
            standing = (
                StandingFact(
                    "w", "surge", due.key, at(FIRST), None, None, None, due.severity, due.numbers, "m", True
                ),
            )
    begun = f"plot:{(FIRST + 40 * DAY).isoformat()}"
    assert keys == [begun, begun, begun, begun, None, None]


def test_what_it_says() -> None:
    facts = season(
        [*quiet(20), [9] * 9],
        treatments=[treatment("t", FIRST + 30 * DAY, ["bed"], ["strip"])],
    )
    due = plot_due(ask("surge", facts, noon_after(21))[0])
    assert due is not None
    usual = due.numbers["usual_slugs"]
    assert usual == pytest.approx(18, abs=2.5)  # nine boards with a mean of 2
    assert due.numbers["times_usual_low"] > 1 and due.numbers["slugs"] == 81
    assert "81, " in due.headline and "95 % interval" in due.headline
    assert "nematodes on 31 May 2026 at Bed" in due.why and "The surface was damp" in due.why
    assert "no damage threshold" in due.caution and "Gloves" in due.caution
    assert due.severity == "Severe" and due.certainty == "Likely"


def test_a_part_that_rises_alone_is_named_alone_and_inside_the_plots_warning_otherwise() -> None:
    base = quiet(25, seed=5, mean=6.0)
    alone: list[int | None] = [4, 5, 4, 5, 6, 4, 15, 16, 14]
    dues, _ = ask("surge", season([*base, alone]), noon_after(26))
    assert [one.key.split(":")[0] for one in dues] == ["strip"]
    assert dues[0].place_ids == ("strip",) and "Strip" in dues[0].headline
    dues, helds = ask("surge", season([*base, [30] * 9]), noon_after(26))
    assert [one.key.split(":")[0] for one in dues] == ["plot"]
    assert "Strip stands out" in dues[0].why and "Bed stands out" in dues[0].why
    assert {one.key for one in helds} == {"bed", "strip"}


def test_silence_is_explained() -> None:
    def why(facts: Facts, now: Any) -> str:
        dues, helds = ask("surge", facts, now)
        assert dues == []
        return next(one.why_not for one in helds if one.key is None)

    assert "5 valid rounds so far" in why(season(quiet(5)), noon_after(5))
    assert "too long ago" in why(season([*quiet(20), [9] * 9]), noon_after(21) + timedelta(days=11))
    assert "no surprise" in why(season(quiet(20)), noon_after(20))


def test_rounds_that_are_not_valid_disturbed_or_under_way_do_not_speak() -> None:
    base = season(quiet(20)).rounds
    day = FIRST + 40 * DAY
    for more in ({"valid": False}, {"disturbed": True}, {"finished": False}):
        loud = walk(day, dict.fromkeys(IDS, 9), **more)
        assert ask("surge", made(PLACES, BOARDS, rounds=[*base, loud]), at(day, 8))[0] == []
    left_open = walk(day, dict.fromkeys(IDS, 9), finished=False)
    assert plot_due(ask("surge", made(PLACES, BOARDS, rounds=[*base, left_open]), at(day, 13))[0])


def test_a_disputed_board_is_taken_at_its_worst() -> None:
    base = season(quiet(20)).rounds
    day = FIRST + 40 * DAY
    counts: dict[str, Any] = {**dict.fromkeys(IDS, 3), "b0": (3, 40)}
    due = plot_due(ask("surge", made(PLACES, BOARDS, rounds=[*base, walk(day, counts)]), at(day, 12))[0])
    assert due is not None and due.numbers["slugs"] == 8 * 3 + 40 and due.numbers["disputed_boards"] == 1
    assert "two numbers" in due.why
    calm = {**counts, "b0": 3}
    assert ask("surge", made(PLACES, BOARDS, rounds=[*base, walk(day, calm)]), at(day, 12))[0] == []
    # As a yardstick for later rounds the lower number counts, so that a dispute never hides a rise.
    before = [*base[:-1], walk(base[-1].day, {**dict.fromkeys(IDS, 2), "b0": (2, 90)})]
    later = [walk(day + 2 * n * DAY, dict.fromkeys(IDS, 2)) for n in range(2)]
    rise = walk(day + 4 * DAY, dict.fromkeys(IDS, 8))
    assert plot_due(ask("surge", made(PLACES, BOARDS, rounds=[*before, *later, rise]), at(rise.day, 12))[0])


ROWS = st.lists(
    st.lists(st.one_of(st.none(), st.integers(0, 25)), min_size=9, max_size=9), min_size=6, max_size=16
)


@settings(max_examples=40, deadline=None)
@given(ROWS, st.lists(st.integers(0, 20), min_size=9, max_size=9))
def test_more_slugs_never_take_a_surge_back(rows: list[list[int | None]], more: list[int]) -> None:
    now = noon_after(len(rows))
    raised = [None if x is None else x + plus for x, plus in zip(rows[-1], more, strict=True)]
    before = plot_due(ask("surge", season(rows), now)[0])
    after = plot_due(ask("surge", season([*rows[:-1], raised]), now)[0])
    if before is not None:
        assert after is not None and after.key == before.key


@settings(max_examples=25, deadline=None)
@given(ROWS, st.permutations(range(9)), st.randoms(use_true_random=False))
def test_the_order_of_boards_and_records_does_not_matter(
    rows: list[list[int | None]], order: list[int], chance: Any
) -> None:
    now = noon_after(len(rows))
    one = ask("surge", season(rows), now)
    rounds = list(season(rows).rounds)
    chance.shuffle(rounds)
    shuffled = [
        walk(r.day, {id_: r.boards[id_].high if id_ in r.boards else None for id_ in np.array(IDS)[order]})
        for r in rounds
    ]
    assert ask("surge", made(PLACES, BOARDS, rounds=shuffled), now) == one
