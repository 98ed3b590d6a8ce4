"""Traps due and traps that do not count, against the days of a calendar."""

from __future__ import annotations

from datetime import date

import pytest

from tests.core.warnings.made_facts import DAY, ask, at, made, place, reading, station, trap

SET = date(2026, 4, 1)
BED = place("bed", label="Sea 1")
TRAPS = (station("t1", "bait_trap"), station("t2", "bait_trap"), station("beetle", "beetle_trap"))
SOIL = station("soil", "thermometer", exposure="soil")


@pytest.mark.parametrize(
    ("age", "due", "late"), [(9, 0, 0), (10, 1, 0), (14, 1, 0), (15, 0, 1), (60, 0, 1), (61, 0, 0)]
)
def test_due_from_the_tenth_to_the_fourteenth_day(age: int, due: int, late: int) -> None:
    facts = made([BED], TRAPS, catches=(trap("t1", SET), trap("t2", SET)))
    now = at(SET + age * DAY, 7)
    dues, helds = ask("traps_due", facts, now)
    assert len(dues) == due and (due or "15 April 2026" in helds[0].why_not or "11 April" in helds[0].why_not)
    assert len(ask("trap_not_valid", facts, now)[0]) == late
    if due:
        assert dues[0].numbers == {
            "traps": 2, "set_on": "2026-04-01", "first_on": "2026-04-11", "last_on": "2026-04-15"
        }  # fmt: skip
        assert dues[0].station_ids == ("t1", "t2") and dues[0].place_ids == ("bed",)
        assert (
            dues[0].window_start.isoformat() == "2026-04-10T23:00:00+00:00"
        )  # midnight in British summer time


def test_a_lifted_trap_is_no_longer_due_and_a_rebaited_one_is_due_again() -> None:
    lifted = trap("t1", SET, SET + 11 * DAY, 0)
    assert ask("traps_due", made([BED], TRAPS, catches=(lifted,)), at(SET + 12 * DAY))[0] == []
    again = trap("t1", SET, SET + 11 * DAY, 0, rebaited=True)
    dues, _ = ask("traps_due", made([BED], TRAPS, catches=(again,)), at(SET + 21 * DAY))
    assert [one.key for one in dues] == ["bait_trap:2026-04-12"]
    newer = (again, trap("t1", SET + 15 * DAY))
    dues, _ = ask("traps_due", made([BED], TRAPS, catches=newer), at(SET + 26 * DAY))
    assert [one.key for one in dues] == ["bait_trap:2026-04-16"]


def test_a_trap_that_was_lifted_only_later_lay_in_the_ground_before() -> None:
    later = trap("t1", SET, SET + 13 * DAY, 2)
    assert len(ask("traps_due", made([BED], TRAPS, catches=(later,)), at(SET + 12 * DAY))[0]) == 1


def test_beetle_traps_are_read_weekly() -> None:
    facts = made([BED], TRAPS, catches=(trap("beetle", SET),))
    assert ask("traps_due", facts, at(SET + 6 * DAY))[0] == []
    assert ask("traps_due", facts, at(SET + 7 * DAY))[0][0].key == "beetle_trap:2026-04-01"
    assert ask("traps_due", facts, at(SET + 9 * DAY), beetle_days=10)[0] == []


def test_cold_soil_is_said_where_it_is_read() -> None:
    for soil_c, words in ((6.0, "would not count"), (9.5, "as it has to be")):
        readings = [reading("soil", SET + 9 * DAY, current_c=soil_c)]
        facts = made([BED], (*TRAPS, SOIL), catches=(trap("t1", SET),), readings=readings)
        assert words in ask("traps_due", facts, at(SET + 10 * DAY, 12))[0][0].why
    bare = made([BED], TRAPS, catches=(trap("t1", SET),))
    assert "no fresh reading" in ask("traps_due", bare, at(SET + 10 * DAY))[0][0].why


def test_lifted_traps_that_do_not_count_say_why() -> None:
    on = SET + 12 * DAY
    catches = (
        trap("t1", SET, on, 0, False, flaws=("too_cold",)),
        trap("t2", SET, on, 1, True),
        trap("t2", SET - 40 * DAY, SET - 28 * DAY, 1, False, flaws=("too_cold",)),
    )
    dues, _ = ask("trap_not_valid", made([BED], TRAPS, catches=catches), at(on + DAY))
    assert len(dues) == 1 and not dues[0].loud
    assert dues[0].headline == (
        "1 of 2 bait traps lifted on 13 April 2026 does not count: the soil was not above 8 °C."
    )
    unknown = trap("t1", SET, on, 0, None, flaws=("soil_unknown",))
    dues, _ = ask("trap_not_valid", made([BED], TRAPS, catches=(unknown,)), at(on + DAY))
    assert "cannot be judged: the soil temperature at lifting is not known" in dues[0].headline
    assert ask("trap_not_valid", made([BED], TRAPS, catches=(unknown,)), at(on + 15 * DAY))[0] == []
    fine = made([BED], TRAPS, catches=(trap("t2", SET, on, 1, True),))
    dues, helds = ask("trap_not_valid", fine, at(on + DAY))
    assert dues == [] and "counts" in helds[0].why_not
