"""The wireworm verdict: limits by scipy, the rule of the verdict reckoned plainly, and nil that is never safe."""

from __future__ import annotations

import math
import re
from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.core.warnings.demo_plot import demo_records, digest_of_records
from tests.core.warnings.made_facts import DAY, ask, at, crop, made, place, station, trap
from underboard.core.warnings.facts import CatchFact, Facts, SampleFact
from underboard.core.warnings.facts_of import facts_of

MARCH = date(2026, 3, 20)
BED = place("bed", label="Sea 1", broken_year=2024, neighbours=("grass_edge",))
TRAP = station("trap", "bait_trap")


def bed(catches: list[CatchFact], samples: list[SampleFact] | None = None, **more: Any) -> Facts:
    return made([BED], [TRAP], catches=tuple(catches), samples=samples or [], **more)


def lifts(found: list[int], valid: bool | None = True, year: int = 2025) -> list[CatchFact]:
    first = date(year, 9, 1)
    return [
        trap("trap", first - 12 * DAY, first + n * DAY, x, valid, id=f"c{n}-{valid}")
        for n, x in enumerate(found)
    ]


def cores(n: int, found: int, method: str = "hand_sort") -> SampleFact:
    return SampleFact(f"s{n}", at(date(2026, 2, 1)), "bed", n, 0.1016, found, method)


def verdict(facts: Facts, **settings: Any) -> str | None:
    dues, _ = ask("wireworm", facts, at(MARCH), **settings)
    return dues[0].numbers["verdict"] if dues else None


def reckoned(found: list[int], tolerated: float = 0.5, do_not: float = 1.0, k: float = 0.5) -> str:
    """The verdict from valid traps alone, by the words of the rule and scipy's laws."""
    n, total = len(found), sum(found)
    if total / n >= do_not:
        return "do_not"
    missed = float(stats.nbinom.pmf(0, n * k, k / (k + tolerated)))
    upper = stats.chi2.ppf(0.975, 2 * total + 2) / 2 / n
    if total == 0:
        return "plant" if missed <= 0.05 else "wait"
    return "plant" if missed <= 0.05 and upper < tolerated else "earlies_only"


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 3), min_size=1, max_size=30), st.floats(0.2, 2), st.floats(0.1, 3))
def test_the_verdict_of_traps_is_the_plain_one(found: list[int], tolerated: float, k: float) -> None:
    given_ = {"plant_per_trap": tolerated, "clumping_k": k}
    assert verdict(bed(lifts(found)), **given_) == reckoned(found, tolerated, 1.0, k)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 25), st.integers(0, 30), st.booleans())
def test_limits_and_the_chance_of_a_miss_are_scipys(n: int, total: int, nil: bool) -> None:
    counts = [0] * n if nil else [total // n + (i < total % n) for i in range(n)]
    due = ask("wireworm", bed(lifts(counts)), at(MARCH))[0][0]
    x = sum(counts)
    assert due.numbers["per_trap_high"] == pytest.approx(stats.chi2.ppf(0.975, 2 * x + 2) / 2 / n, rel=1e-9)
    low = stats.chi2.ppf(0.025, 2 * x) / 2 / n if x else 0.0
    assert due.numbers["per_trap_low"] == pytest.approx(low, rel=1e-9, abs=1e-12)
    assert due.numbers["chance_missed"] == pytest.approx(stats.nbinom.pmf(0, 0.5 * n, 0.5), rel=1e-9)


def test_nil_traps_never_say_safe() -> None:
    for n in range(1, 40):
        due = ask("wireworm", bed(lifts([0] * n)), at(MARCH))[0][0]
        words = " ".join([due.headline, due.why, due.advice, due.caution]).lower()
        assert not re.search(r"\bsafe|\bclean|\bfree of wireworm|no wireworms? (here|in this bed)", words)
        assert due.numbers["per_trap_high"] > 0 and due.numbers["chance_missed"] > 0
        assert "nothing found is not nothing there" in words
        # (1 + 0.5/0.5)^(-0.5 n) = 2^(-n/2) falls below one in twenty at n = 9.
        assert due.numbers["verdict"] == ("plant" if n >= 9 else "wait")
        assert due.numbers["more_traps_with_none"] == max(9 - n, 0)
        assert not due.loud


def test_more_traps_with_none_settle_it_as_foretold() -> None:
    due = ask("wireworm", bed(lifts([0] * 4)), at(MARCH))[0][0]
    more = due.numbers["more_traps_with_none"]
    assert "5 more valid traps with none would settle it" in due.why
    assert (
        verdict(bed(lifts([0] * (4 + more - 1)))) == "wait"
        and verdict(bed(lifts([0] * (4 + more)))) == "plant"
    )


def test_traps_that_do_not_count_prove_nothing_unless_something_was_found() -> None:
    dues, helds = ask("wireworm", bed(lifts([0] * 20, valid=False)), at(MARCH))
    assert dues == [] and "20 traps that cannot be counted" in helds[0].why_not
    assert ask("wireworm", bed(lifts([0] * 20, valid=None)), at(MARCH))[0] == []  # nobody measured the soil
    assert "9 valid traps with none" in helds[0].why_not and "2024" in helds[0].why_not
    dues, _ = ask("wireworm", bed(lifts([0, 1], valid=False)), at(MARCH))
    assert dues[0].numbers["verdict"] == "earlies_only" and "traps that do not count" in dues[0].headline
    assert verdict(bed(lifts([0] * 20) + lifts([1], valid=None))) == "earlies_only"


@pytest.mark.parametrize(
    ("n", "found", "method", "expected"),
    [
        (20, 1, "hand_sort", "do_not"),
        (60, 1, "wash", "earlies_only"),
        (20, 0, "wash", "wait"),
        (200, 0, "wash", "plant"),
    ],
)
def test_soil_cores_speak_too(n: int, found: int, method: str, expected: str) -> None:
    due = ask("wireworm", bed([], [cores(n, found, method)]), at(MARCH))[0][0]
    assert due.numbers["verdict"] == expected
    recovery = {"hand_sort": 0.4, "wash": 0.95}[method]
    area = n * math.pi * 0.0508**2
    assert due.numbers["cores"][0]["per_ha"] == pytest.approx(found / area / recovery * 1e4)
    upper = stats.chi2.ppf(0.975, 2 * found + 2) / 2 / area / recovery * 1e4
    assert due.numbers["cores"][0]["per_ha_high"] == pytest.approx(upper)
    missed = stats.poisson.pmf(0, 61_673 / 1e4 * area * recovery)
    assert due.numbers["cores"][0]["chance_missed"] == pytest.approx(missed, rel=1e-6)


def test_the_worst_of_traps_and_cores_holds() -> None:
    assert verdict(bed(lifts([0] * 12), [cores(20, 1)])) == "do_not"
    assert verdict(bed(lifts([0] * 12), [cores(20, 0)])) == "plant"


def test_only_before_planting_and_in_its_months() -> None:
    facts = bed(lifts([2, 2]))
    assert (
        ask("wireworm", facts, at(date(2026, 2, 1)))[0] and ask("wireworm", facts, at(date(2026, 5, 31)))[0]
    )
    for day in (date(2026, 1, 31), date(2026, 6, 1)):
        dues, helds = ask("wireworm", facts, at(day))
        assert dues == [] and "February to May" in helds[0].why_not
    assert ask("wireworm", facts, at(date(2026, 8, 1)), from_month=7, to_month=9)[0]
    planted = bed(
        lifts([2, 2]), crops=(crop("p", "Second early potatoes", "bed", (date(2026, 3, 10), "planted")),)
    )
    assert ask("wireworm", planted, at(date(2026, 3, 9)))[0]
    dues, helds = ask("wireworm", planted, at(MARCH))
    assert dues == [] and "planted on 10 March 2026" in helds[0].why_not
    beans = bed(lifts([2, 2]), crops=(crop("p", "Broad beans", "bed", (date(2026, 3, 10), "planted")),))
    assert ask("wireworm", beans, at(MARCH))[0]


def test_one_warning_a_bed_and_season() -> None:
    keys = {
        ask("wireworm", bed(lifts([1, 2])), at(date(2026, month, 15)))[0][0].key for month in (2, 3, 4, 5)
    }
    assert keys == {"bed:2026"}
    assert (
        ask("wireworm", bed(lifts([1, 2])), at(date(2027, 3, 1)))[0] == []
    )  # two seasons old: no evidence left


def test_the_demo_against_its_raw_records() -> None:
    day = date(2026, 5, 2)
    facts = facts_of(digest_of_records(demo_records()))
    dues, _ = ask("wireworm", facts, datetime(2026, 5, 2, 12, tzinfo=UTC))
    places = {one["id"]: one["body"]["label"] for one in demo_records() if one["type"] == "place"}
    traps = {
        one["id"]: one["body"]["place_id"]
        for one in demo_records()
        if one["type"] == "station" and one["body"]["kind"] == "bait_trap"
    }
    expected: dict[str, list[int]] = {}
    for one in demo_records():
        body = one["body"]
        if one["type"] != "trap_catch" or not body.get("observed_at"):
            continue
        lifted, laid = date.fromisoformat(body["observed_at"][:10]), date.fromisoformat(body["set_at"][:10])
        fine = 10 <= (lifted - laid).days <= 14 and body["soil"]["value"] > 8 and body["state"] != "spoiled"
        if fine and date(2025, 1, 1) <= lifted <= day:
            expected.setdefault(places[traps[body["station_id"]]], []).append(body["wireworms"])
    seen = {
        facts.label(due.place_ids[0]): (
            due.numbers["traps"],
            due.numbers["wireworms"],
            due.numbers["verdict"],
        )
        for due in dues
        if "traps" in due.numbers
    }
    planted = {"Long strip", "Wall 1"}
    assert seen == {
        name: (len(found), sum(found), reckoned(found))
        for name, found in expected.items()
        if name not in planted
    }
    assert {"Sea 1", "Sea 2", "Sea 3"} <= set(seen)
