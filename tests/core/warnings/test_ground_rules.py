"""Soil windows, plant-out risk and nematode windows: against numpy, scipy and plain counting."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.core.warnings.made_facts import DAY, ask, at, crop, made, place, reading, station, treatment, walk
from underboard.core.warnings.facts import Facts, PairFact

FIRST = date(2026, 3, 1)
BEDS = (place("bed", label="Wall 1"), place("tunnel", "tunnel"))
SOIL = station("soil", "thermometer", exposure="soil", depth_m=0.1)
SCREEN = station("screen", "thermometer", exposure="screen")


def soil(temperatures: list[float | None], first: date = FIRST, **more: object) -> Facts:
    readings = [
        reading("soil", first + n * DAY, current_c=value)
        for n, value in enumerate(temperatures)
        if value is not None
    ]
    return made(BEDS, (SOIL, SCREEN), readings=readings, **more)


# Lowest soil temperatures as published, whole °F: Oregon State University extension after Harrington & Minges 1954.
POTATO_C, CARROT_C, BEAN_C = (45 - 32) / 1.8, (40 - 32) / 1.8, (60 - 32) / 1.8


@settings(max_examples=80, deadline=None)
@given(st.lists(st.one_of(st.none(), st.floats(0, 9)), min_size=1, max_size=40))
def test_carrots_open_on_the_day_a_plain_mean_of_five_does(temperatures: list[float | None]) -> None:
    days = np.array([n for n, value in enumerate(temperatures) if value is not None])
    now = at(FIRST + (len(temperatures) - 1) * DAY, 12)
    dues, _ = ask("soil_window", soil(temperatures), now, crops="carrot")
    if not len(days):
        assert dues == []
        return
    known = np.interp(np.arange(len(temperatures)), days, [temperatures[n] for n in days])
    # A gap of more than two days is not filled in.
    for n in range(len(temperatures)):
        before, after = days[days <= n], days[days >= n]
        if not len(before) or not len(after) or after[0] - before[-1] > 3:
            known[n] = np.nan
    begun = None
    for n in range(4, len(temperatures)):
        mean = known[n - 4 : n + 1].mean()
        if mean < CARROT_C:
            begun = None
        elif mean >= CARROT_C and begun is None:
            begun = n
    expected = begun is not None and len(temperatures) - 1 - days[-1] <= 21
    assert (len(dues) == 1) == expected
    if dues:
        assert dues[0].numbers["since"] == (FIRST + begun * DAY).isoformat()
        assert dues[0].numbers["mean_c"] == pytest.approx(known[begun - 4 : begun + 1].mean())


def test_potatoes_want_a_rising_soil() -> None:
    falling, rising = [9.0, 8.8, 8.6, 8.4, 8.2], [7.0, 7.2, 7.4, 7.6, 7.8]
    dues, helds = ask("soil_window", soil(list(falling)), at(FIRST + 4 * DAY, 12), crops="potatoes")
    assert dues == [] and "not rising" in helds[0].why_not
    dues, _ = ask("soil_window", soil(list(rising)), at(FIRST + 4 * DAY, 12), crops="potatoes")
    assert dues[0].key == "bed:potato:2026"
    assert dues[0].headline == (
        "The soil at Wall 1 is warm enough for potato since 5 March 2026: 7.4 °C over 5 days, "
        "at least 7.2 °C is wanted."
    )
    # A pause in the rise does not close what opened.
    dues, _ = ask(
        "soil_window", soil([*rising, 7.7, 7.6, 7.5, 7.4]), at(FIRST + 8 * DAY, 12), crops="potatoes"
    )
    assert dues[0].numbers["since"] == "2026-03-05"


def test_a_cold_spell_closes_it_and_sowing_settles_it() -> None:
    warm = [5.0] * 6
    assert ask("soil_window", soil([*warm, 2, 1, 1]), at(FIRST + 8 * DAY, 12), crops="carrot")[0] == []
    sown = (crop("c", "Carrots", "bed", (FIRST + 5 * DAY, "sown")),)
    dues, helds = ask("soil_window", soil(list(warm), crops=sown), at(FIRST + 6 * DAY, 12), crops="carrot")
    assert dues == [] and "went in on 6 March 2026" in helds[0].why_not
    indoors = (crop("c", "Carrots", "tunnel", (FIRST + 5 * DAY, "sown")),)
    assert ask("soil_window", soil(list(warm), crops=indoors), at(FIRST + 6 * DAY, 12), crops="carrot")[0]


def test_how_long_until_comes_from_the_trend_with_both_ends() -> None:
    chance = np.random.default_rng(2)
    temperatures = [3 + 0.15 * n + chance.normal(0, 0.2) for n in range(20)]
    now = at(FIRST + 19 * DAY, 12)
    held = next(
        one for one in ask("soil_window", soil(list(temperatures)), now, crops="potato")[1] if one.numbers
    )
    slope, _, low, high = stats.theilslopes(temperatures, np.arange(20), alpha=0.95)
    missing = POTATO_C - np.mean(temperatures[-5:])
    assert held.numbers["slope_c_per_day"] == pytest.approx(slope)
    for name, rate in (("about_on", slope), ("soonest_on", high), ("latest_on", low)):
        assert held.numbers[name] == (FIRST + (19 + int(np.ceil(missing / rate))) * DAY).isoformat()
    assert "at the soonest" in held.why_not and "°C over 5 days" in held.why_not
    cooling = [6 - 0.1 * n for n in range(20)]
    held = next(one for one in ask("soil_window", soil(list(cooling)), now, crops="potato")[1] if one.numbers)
    assert held.numbers["about_on"] is None and "will not be reached soon" in held.why_not


def test_silence_of_the_soil_window_is_explained() -> None:
    now = at(FIRST + 9 * DAY, 12)
    assert "No soil thermometer" in ask("soil_window", made(BEDS, (SOIL,)), now)[1][0].why_not
    assert "last read on 2 March 2026" in ask("soil_window", soil([1, 1]), now, crops="carrot")[1][0].why_not
    gap = soil([1, 1, None, None, None, 1, 1, 1, 1, 1][:9])
    assert "not all known" in ask("soil_window", gap, at(FIRST + 7 * DAY, 12), crops="carrot")[1][0].why_not
    said = ask("soil_window", soil([9.0] * 6), at(FIRST + 5 * DAY, 12), crops="oca, carrot")
    assert '"oca"' in said[1][0].why_not and len(said[0]) == 1
    assert "until June" in ask("soil_window", soil([9.0] * 6), at(date(2026, 7, 1)))[1][0].why_not


def springs(frosts: dict[int, date | None]) -> Facts:
    """Nights read every day from 1 April to 15 June of each year, one of them with a frost."""
    pairs = []
    for year, frost in frosts.items():
        day = date(year, 4, 1)
        while day <= date(year, 6, 15):
            pairs.append(PairFact(day - DAY, -1.0 if day == frost else 4.0, 5.0))
            day += DAY
    return made(BEDS, (SOIL, SCREEN), pairs={"tunnel": tuple(pairs)})


def test_plant_out_counts_the_springs_with_a_later_frost() -> None:
    frosts = {
        2019: date(2019, 5, 24), 2020: date(2020, 4, 20), 2021: None, 2022: date(2022, 5, 11),
        2023: date(2023, 4, 28), 2024: date(2024, 5, 2), 2025: date(2025, 5, 27),
    }  # fmt: skip
    due = ask("plant_out", springs(frosts), at(date(2026, 5, 10)))[0][0]
    # By the day of the year: 20 May 2026 is day 140; 24 May 2019 is 144, 27 May 2025 is 147.
    low, high = stats.binomtest(2, 7).proportion_ci(method="wilson")
    assert due.numbers["springs_with_later_frost"] == 2 and due.numbers["springs"] == 7
    assert due.numbers["risk"] == pytest.approx(2 / 7)
    assert (due.numbers["risk_low"], due.numbers["risk_high"]) == (pytest.approx(low), pytest.approx(high))
    assert due.key == "2026" and due.loud and due.severity == "Moderate"
    assert "2 of your 7 springs (29 %, 95 % interval 8 % to 64 %)" in due.headline
    late = ask("plant_out", springs(frosts), at(date(2026, 6, 1)), plant_out_on="06-05")[0][0]
    assert late.numbers["springs_with_later_frost"] == 0 and not late.loud


def test_plant_out_says_why_not() -> None:
    few = springs({2024: None, 2025: date(2025, 4, 30)})
    dues, helds = ask("plant_out", few, at(date(2026, 5, 10)))
    assert dues == [] and helds[0].why_not.startswith("2 springs of the plot's own minima so far; 5")
    assert "around planting out" in ask("plant_out", few, at(date(2026, 2, 1)))[1][0].why_not
    assert (
        "no day of the year"
        in ask("plant_out", few, at(date(2026, 5, 10)), plant_out_on="31-02")[1][0].why_not
    )
    gaps = made(BEDS, (SCREEN,), pairs={"tunnel": springs({2025: None}).pairs["tunnel"][:20]})
    assert "0 springs" in ask("plant_out", gaps, at(date(2026, 5, 10)))[1][0].why_not


def test_plant_out_names_who_waits_and_is_not_hardened() -> None:
    crops = (
        crop("t", "Tomato", "tunnel", (date(2026, 3, 1), "sown")),
        crop("s", "Squash", "tunnel", (date(2026, 4, 20), "sown"), (date(2026, 5, 5), "hardened")),
        crop("o", "Onion sets", "bed", (date(2026, 3, 20), "planted")),
    )
    facts = springs(dict.fromkeys(range(2019, 2026)))
    facts = made(BEDS, (SCREEN,), pairs=facts.pairs, crops=crops)
    due = ask("plant_out", facts, at(date(2026, 5, 10)))[0][0]
    assert set(due.crop_ids) == {"t", "s"} and "Waiting to go out: Squash and Tomato" in due.why
    assert "Not hardened off for a week by then: Tomato." in due.why


DRENCH = date(2026, 5, 6)


def drenched(soil_c: float, until: int, surface: str = "damp") -> Facts:
    days = [DRENCH + n * DAY for n in range(until + 1)]
    return made(
        BEDS,
        (SOIL, SCREEN),
        readings=[reading("soil", day, current_c=soil_c) for day in days],
        rounds=[walk(days[-1], {"b": 1}, surface=surface)],
        treatments=[treatment("t", DRENCH, ["bed"], ["tunnel"])],
    )


@pytest.mark.parametrize(("age", "due"), [(10, False), (41, False), (42, True), (62, True), (63, False)])
def test_a_place_is_due_again_after_six_weeks(age: int, due: bool) -> None:
    dues, helds = ask("nematode_window", drenched(13.0, age), at(DRENCH + age * DAY, 12))
    assert bool(dues) == due
    if due:
        assert dues[0].key == "again:2026-05-06" and dues[0].place_ids == ("bed",)
        assert "spent since 17 June 2026" in dues[0].headline and "about 13 °C" in dues[0].headline
        assert "licence" in dues[0].caution and "label" in dues[0].caution
    elif age < 42:
        assert "at work until 17 June 2026" in helds[0].why_not


@pytest.mark.parametrize(
    ("soil_c", "surface", "words"),
    [
        (4.9, "damp", "at least 5 °C"),
        (20.1, "wet", "above 20 °C"),
        (25.1, "wet", "above 25 °C"),
        (13.0, "dry", "dry"),
    ],
)
def test_unfit_soil_holds_it_back(soil_c: float, surface: str, words: str) -> None:
    dues, helds = ask("nematode_window", drenched(soil_c, 45, surface), at(DRENCH + 45 * DAY, 12))
    assert dues == [] and words in helds[0].why_not


def test_the_first_window_of_the_year_comes_once_and_only_to_those_who_use_them() -> None:
    warm = soil([6.0] * 20)
    now = at(FIRST + 19 * DAY, 12)
    assert "switch on the offer" in ask("nematode_window", warm, now)[1][0].why_not
    assert ask("nematode_window", warm, now, offer=True)[0][0].key == "spring:2026"
    used = soil([6.0] * 20, treatments=[treatment("t", date(2025, 9, 1), ["bed"])])
    assert ask("nematode_window", used, now)[0][0].key == "spring:2026"
    nowhere = soil([6.0] * 10, date(2026, 11, 5), treatments=[treatment("t", date(2026, 3, 1), [])])
    assert ask("nematode_window", nowhere, at(date(2026, 11, 14), 12))[0] == []
    february = soil([6.0] * 10, date(2026, 2, 1), treatments=[treatment("t", date(2025, 9, 1), ["bed"])])
    assert "March to October" in ask("nematode_window", february, at(date(2026, 2, 10), 12))[1][0].why_not
