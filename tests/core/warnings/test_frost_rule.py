"""Frost tonight over a plot's records: the published figure, later readings, places, crops, clocks and skies."""

from __future__ import annotations

import json
import random
from dataclasses import asdict
from datetime import datetime, timedelta
from statistics import fmean
from typing import Any

import ephem
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.warnings.night_plot import (
    BED,
    FAO,
    INSIDE,
    NORWICH,
    POST,
    TUNNEL,
    Record,
    at,
    crop,
    evening,
    facts_from,
    nights,
    reading,
    record,
)
from underboard.core.agronomy.frost.frost_tonight import frost_tonight
from underboard.core.records import check_set
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.frost_decision import frost_decision
from underboard.core.warnings.learning import learned_of
from underboard.core.warnings.rules import frost
from underboard.core.warnings.standing_crops import standing_crops
from underboard.core.warnings.terms import Due, Held, chosen

GROUND = [BED, TUNNEL, POST, INSIDE]
LEARNED = nights(at("2026-04-01T21:30"), FAO)
TONIGHT = at("2026-05-12T22:50")
LETTUCE = crop("Lettuce", BED, at("2026-04-20T10:00"))
TOMATO = crop("Tomatoes", TUNNEL, at("2026-05-01T10:00"))


def said(records: list[Record], now: datetime, plot: Any = NORWICH, **chosen_by: Any) -> Due | Held:
    """What the rule says of tonight."""
    return tonight(facts_from(records, plot), now, **chosen_by)


def tonight(facts: Facts, now: datetime, **chosen_by: Any) -> Due | Held:
    return next(iter(frost.run(facts, chosen(frost.RULE, chosen_by), now)))


def test_the_published_minimum_comes_out_of_the_records() -> None:
    """-0.7409219 °C: printed with the R package frost for evening 10 °C and dew point 2 °C."""
    found = said([*GROUND, *LEARNED, evening(TONIGHT, 10.0, 2.0)], TONIGHT)
    assert found.numbers["min_c"] == pytest.approx(-0.7409219, abs=1e-7)
    assert (found.numbers["n_nights"], found.numbers["fitted_to_plot"]) == (10, True)


def test_figures_are_those_of_frost_tonight_from_what_was_learned() -> None:
    pairs = [reading(INSIDE, at("2026-04-01T08:00"), current=5.0)]
    pairs += [
        reading(INSIDE, at(f"2026-04-{n + 2:02}T08:00"), min=low + 0.2 * n)
        for n, (_, _, low) in enumerate(FAO)
    ]
    facts = facts_from([*GROUND, *LEARNED, *pairs, *LETTUCE, *TOMATO, evening(TONIGHT, 4.0, -2.0)])
    found, learned = tonight(facts, TONIGHT), learned_of(facts)
    assert isinstance(found, Due)
    places = {one["place_id"]: one for one in found.numbers["places"]}
    for place, critical in ((BED, -2.0), (TUNNEL, 0.0)):
        offset = learned["offsets"].get(place["id"], {})
        told = frost_tonight(
            4.0,
            -2.0,
            (critical,),
            fit=learned["frost_fit"],
            offset_c=offset.get("plan_with_c", 0.0),
            offset_sd_c=offset.get("sd_c", 0.0),
        )
        mine = places[place["id"]]
        assert (mine["min_c"], mine["low_c"], mine["high_c"]) == (told.min_c, told.low_c, told.high_c)
        assert [one["p"] for one in mine["crops"]] == [told.chances[0].p]
    assert learned["offsets"][TUNNEL["id"]]["n"] == 10
    assert set(found.place_ids) == {BED["id"], TUNNEL["id"]}


def test_what_phones_pull_gives_them_the_same_figures() -> None:
    """The `learned` record as it is stored and sent, put into the decision that phones mirror."""
    facts = facts_from([*GROUND, *LEARNED, *LETTUCE, *TOMATO, evening(TONIGHT, 4.0, -2.0)])
    learned = json.loads(json.dumps(learned_of(facts)))
    assert check_set("learned", learned, creating=True) == []
    crops = [asdict(one) for one in standing_crops(facts, TONIGHT.date())]
    asked = chosen(frost.RULE, None)
    mine = frost_decision(learned, {"evening_c": 4.0, "dew_c": -2.0, "sky": "clear"}, crops, asked)
    said_of = tonight(facts, TONIGHT).numbers
    assert (mine.min_c, mine.low_c, mine.high_c, mine.p) == tuple(
        said_of[key] for key in ("min_c", "low_c", "high_c", "p")
    )
    assert [one.place_id for one in mine.places] == [one["place_id"] for one in said_of["places"]]


def test_what_the_warning_says() -> None:
    found = said([*GROUND, *LEARNED, *LETTUCE, evening(TONIGHT, 4.0, -2.0)], TONIGHT)
    assert isinstance(found, Due)
    assert found.headline.startswith(
        "Frost may hurt Lettuce at Gate 1 in the night to 13 May 2026: about −3.9 °C"
    )
    assert "chance" in found.headline and "%" in found.headline
    assert "10 clear nights of this plot" in found.why and "it pays above a chance of 7 %" in found.why
    assert "fleece" in found.advice and "carbon monoxide" in found.caution
    assert (found.severity, found.urgency, found.certainty) == ("Severe", "Expected", "Likely")
    assert frost.RULE.wake and found.loud


def test_before_eight_nights_of_its_own_it_says_so() -> None:
    found = said(
        [*GROUND, *nights(at("2026-04-01T21:30"), FAO[:7]), *LETTUCE, evening(TONIGHT, 4.0, -2.0)], TONIGHT
    )
    assert isinstance(found, Due)
    assert found.numbers["fitted_to_plot"] is False
    assert "not fitted to your plot yet" in found.why.lower()


@pytest.mark.parametrize("sky", [{"sky": "overcast"}, {"wind": "windy"}, {"sky": "broken"}])
def test_a_dull_evening_does_not_shout_unless_asked(sky: dict[str, str]) -> None:
    records = [*GROUND, *LEARNED, *LETTUCE, evening(TONIGHT, 4.0, -2.0, **sky)]
    held = said(records, TONIGHT)
    assert isinstance(held, Held) and held.why_not.startswith("Not a clear, calm evening")
    own = said(records, TONIGHT, at_c=0.0)
    assert isinstance(own, Due) and "for clear, calm nights" in own.why
    assert "your own 0.0 °C is met" in own.headline


def test_dull_nights_of_its_own_speak_for_dull_evenings() -> None:
    """Nine cloudy nights that fell by two degrees, give or take: the drop of these, not of the clear ones."""
    falls = (2.0, 1.5, 2.5, 1.0, 3.0, 2.0, 1.8, 2.2, 2.0)
    dull: list[Record] = []
    for n, fall in enumerate(falls):
        when = at(f"2026-04-{11 + n}T21:40")
        dull += [
            evening(when, 8.0, 6.0, sky="overcast"),
            reading(POST, when + timedelta(hours=10), min=8.0 - fall),
        ]
    records = [*GROUND, *LEARNED, *crop("Potatoes", BED, at("2026-04-20T10:00")), *dull]
    cold = said([*records, evening(TONIGHT, 1.5, 0.0, sky="overcast")], TONIGHT)
    assert isinstance(cold, Due) and cold.loud
    assert cold.numbers["min_c"] == pytest.approx(1.5 - fmean(falls))
    assert cold.numbers["n_nights"] == 9 and "9 cloudy or windy nights of this plot" in cold.why
    # On a clear evening as warm as this the clear nights would warn.
    mild = evening(TONIGHT, 6.0, 0.0, sky="overcast")
    assert isinstance(said([*records, mild], TONIGHT), Held)
    assert isinstance(said([*records, evening(TONIGHT, 6.0, 0.0)], TONIGHT), Due)


def test_it_warns_under_any_sky_once_it_is_too_cold_already() -> None:
    found = said([*GROUND, *LEARNED, *LETTUCE, evening(TONIGHT, -2.5, -4.0, sky="overcast")], TONIGHT)
    assert isinstance(found, Due) and found.certainty == "Observed"


def test_a_later_evening_reading_decides_anew() -> None:
    cold, warm = evening(TONIGHT, 4.0, -2.0), evening(TONIGHT + timedelta(minutes=30), 14.0, 6.0)
    facts = facts_from([*GROUND, *LEARNED, *LETTUCE, cold, warm])
    first, second = tonight(facts, TONIGHT), tonight(facts, TONIGHT + timedelta(hours=1))
    assert isinstance(first, Due) and isinstance(second, Held)
    assert first.key == second.key == "2026-05-12"


def test_what_is_read_in_the_night_bounds_the_minimum() -> None:
    late = reading(POST, TONIGHT + timedelta(hours=3), current=-2.6)
    records = [*GROUND, *LEARNED, *LETTUCE, evening(TONIGHT, 18.0, 6.0), late]
    assert isinstance(said(records, TONIGHT), Held)
    found = said(records, TONIGHT + timedelta(hours=4))
    assert isinstance(found, Due)
    assert found.numbers["min_c"] <= -2.6 and found.numbers["high_c"] <= -2.6 and found.numbers["p"] == 1.0


def test_only_what_stands_counts() -> None:
    """Tomatoes raised indoors, lettuce in the shed: nobody is warned; kale bears a lot."""
    later = crop("Tomatoes", BED, at("2026-05-20T10:00"))
    held = said([*GROUND, *LEARNED, *later, evening(TONIGHT, 4.0, -2.0)], TONIGHT)
    assert isinstance(held, Held) and "nothing that stands out is known to be hurt" in held.why_not
    kale = crop("Kale", BED, at("2026-04-20T10:00"))
    mild = said([*GROUND, *LEARNED, *kale, evening(TONIGHT, 9.0, 4.0)], TONIGHT)
    assert isinstance(mild, Held)


def test_cost_and_loss_move_the_threshold() -> None:
    records = [*GROUND, *LEARNED, *LETTUCE, evening(TONIGHT, 8.0, 2.0)]
    p = said(records, TONIGHT).numbers["p"]
    assert 0 < p < 1
    assert isinstance(said(records, TONIGHT, cost=100 * p * 0.99, loss=100), Due)
    assert isinstance(said(records, TONIGHT, cost=100 * p * 1.01, loss=100), Held)


def test_without_an_evening_reading_it_says_when_to_read() -> None:
    """Sunset at Norwich on 12 May 2026 is about 20:41; two hours later is 22:41 (within a few minutes)."""
    found = said([*GROUND, *LEARNED, *LETTUCE], TONIGHT)
    assert isinstance(found, Held) and "best taken at 22:4" in found.why_not


def test_an_evening_in_the_tunnel_does_not_tell_of_the_open() -> None:
    inside = evening(TONIGHT, 4.0, -2.0, place_id=TUNNEL["id"])
    found = said([*GROUND, *LEARNED, *LETTUCE, inside], TONIGHT)
    assert isinstance(found, Held) and "No evening reading in the open" in found.why_not


def test_a_dew_point_above_the_air_is_left_out() -> None:
    found = said([*GROUND, *LEARNED, *LETTUCE, evening(TONIGHT, 4.0, 9.0)], TONIGHT)
    assert isinstance(found, Due) and found.numbers["dew_c"] is None


@pytest.mark.parametrize("place", ["nowhere", "no_thermometer"])
def test_no_location_and_no_thermometer_are_borne(place: str) -> None:
    plot = {"name": "Hill", "time_zone": "Europe/London"} if place == "nowhere" else NORWICH
    records = [BED, *LETTUCE, evening(TONIGHT, 4.0, -2.0)]
    found = said(records, TONIGHT, plot)
    assert isinstance(found, Due) and found.numbers["fitted_to_plot"] is False
    assert found.window_start < found.window_end
    if place == "nowhere":
        assert found.window_end == at("2026-05-13T09:00") and found.numbers["night_hours"] is None


def test_polar_day_has_no_evening_but_bears_a_reading() -> None:
    north = {"name": "North", "time_zone": "Europe/Oslo", "latitude": 69.65, "longitude": 18.96}
    now = at("2026-06-21T23:00", "Europe/Oslo")
    held = said([BED, *LETTUCE], now, north)
    assert isinstance(held, Held) and held.why_not.startswith("There is no sunset")
    assert isinstance(said([BED, *LETTUCE, evening(now, 4.0, -2.0)], now, north), Due)


@pytest.mark.parametrize("day", ["2026-03-28", "2026-10-24"])
def test_the_night_of_a_clock_change_is_as_long_as_it_is(day: str) -> None:
    """Sunset to sunrise at Norwich, by the sun and not by the clock: ephem, centre at -0°50' without refraction."""
    place = ephem.Observer()
    place.lat, place.lon, place.pressure, place.horizon = "52.63", "1.30", 0, "-0:50"
    place.date = f"{day.replace('-', '/')} 12:00"
    sunset = place.next_setting(ephem.Sun(), use_center=True)
    sunrise = place.next_rising(ephem.Sun(), use_center=True, start=sunset)
    now = at(f"{day}T21:00")
    planted = crop("Lettuce", BED, now - timedelta(days=10))
    found = said([*GROUND, *planted, evening(now, 3.0, -2.0)], now)
    assert isinstance(found, Due)
    assert found.numbers["night_hours"] == pytest.approx(24 * (sunrise - sunset), abs=2 / 60)
    assert found.key == day


def test_a_reading_after_midnight_belongs_to_the_night_before() -> None:
    late = at("2026-05-13T00:40")
    found = said([*GROUND, *LEARNED, *LETTUCE, evening(late, 3.0, -2.0)], late)
    assert isinstance(found, Due) and found.key == "2026-05-12"
    assert "2.0 h later" in found.why


def test_a_line_that_runs_the_wrong_way_gives_way_to_the_usual_drop() -> None:
    """Warmer evenings, colder nights: an error or chance, and no reason to fear a mild evening."""
    backwards = [(float(air), -2.0 - air % 3, -1.5 * air) for air in range(2, 12)]
    fit = learned_of(facts_from([*GROUND, *nights(at("2026-04-01T21:30"), backwards)]))["frost_fit"]
    assert (fit["method"], fit["evening_coef"]) == ("mean_drop", 1.0)


def past(records: list[Record], now: datetime) -> list[Due]:
    found = frost.run(facts_from(records), chosen(frost.RULE, None), now)
    return [one for one in found if isinstance(one, Due) and one.urgency == "Past"]


def test_a_frost_that_is_over_is_noted_and_not_shouted() -> None:
    read = [
        reading(POST, at("2026-05-12T08:00"), current=9.0),
        reading(POST, at("2026-05-13T08:00"), min=-2.4),
    ]
    records = [*GROUND, *LEARNED, *LETTUCE, evening(TONIGHT, 4.0, -2.0), *read]
    (noted,) = past(records, at("2026-05-13T08:30"))
    assert (noted.key, noted.loud, noted.certainty) == ("2026-05-12", False, "Observed")
    assert "cold enough to hurt Lettuce at Gate 1" in noted.headline and noted.numbers["observed_c"] == -2.4
    assert past(records, at("2026-05-21T08:30")) == []


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 2**32))
def test_the_order_of_arrival_leaves_no_trace(seed: int) -> None:
    inside = [reading(INSIDE, at(f"2026-04-{n:02}T08:00"), min=float(n)) for n in range(1, 12)]
    records = [*GROUND, *LEARNED, *LETTUCE, *TOMATO, *inside, evening(TONIGHT, 4.0, -2.0)]
    shuffled = random.Random(seed).sample(records, len(records))
    assert said(records, TONIGHT) == said(shuffled, TONIGHT)
    assert learned_of(facts_from(records)) == learned_of(facts_from(shuffled))


@settings(max_examples=10, deadline=None)
@given(st.permutations(["t1", "t2", "t3"]))
def test_which_thermometer_of_a_tunnel_is_which_changes_nothing(names: list[str]) -> None:
    """Three thermometers in one tunnel; their ids and labels change places, what they read does not."""
    hung = [
        record(
            "station",
            key,
            kind="thermometer",
            label=key,
            exposure="under_cover",
            place_id=TUNNEL["id"],
            walk_order=5,
        )
        for key in names
    ]
    inside = [
        reading(station, at(f"2026-04-{n:02}T08:00"), min=FAO[(n - 2) % 10][2] + lift)
        for station, lift in zip(hung, (0.4, -0.3, 1.1), strict=True)
        for n in range(1, 12)
    ]
    records = [BED, TUNNEL, POST, *LEARNED, *TOMATO, *hung, *inside, evening(TONIGHT, 4.0, -2.0)]
    found = said(records, TONIGHT)
    assert isinstance(found, Due)
    (place,) = found.numbers["places"]
    # The coldest of the three counts: every night 0.3 °C below the open.
    assert place["offset_c"] == pytest.approx(-0.3, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(-6, 16), st.floats(0, 12), st.booleans(), st.integers(0, 10))
def test_a_warmer_reading_never_raises_the_chance(
    air: float, warmer: float, read_dew: bool, known: int
) -> None:
    dew = -6.0 if read_dew else None
    ground = [*GROUND, *nights(at("2026-04-01T21:30"), FAO[:known]), *LETTUCE, *TOMATO]
    first = [*ground, evening(TONIGHT, air, dew)]
    later = TONIGHT + timedelta(minutes=20)
    before = said(first, later).numbers
    after = said([*first, evening(later, air + warmer, dew)], later).numbers
    assert after["p"] <= before["p"] + 1e-12
    assert after["min_c"] >= before["min_c"] - 1e-9
