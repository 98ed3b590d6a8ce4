"""The reminder to read, ground frost, heat under cover."""

from __future__ import annotations

from datetime import datetime, timedelta
from statistics import fmean, stdev

import pytest
from scipy import stats

from tests.core.warnings.night_plot import (
    BED,
    FAO,
    GRASS,
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
)
from underboard.core.agronomy.frost.frost_tonight import frost_tonight
from underboard.core.warnings.learning import learned_of
from underboard.core.warnings.rules import evening_reading, ground_frost, heat
from underboard.core.warnings.terms import Due, Held, Rule, Said, chosen

GROUND = [BED, TUNNEL, POST, INSIDE, GRASS]
LETTUCE = crop("Lettuce", BED, at("2026-03-20T10:00"))
POTATO = crop("Potatoes", BED, at("2026-03-20T10:00"))
#: Minima of twelve nights in April, every sky, and the afternoon before each [°C].
AFTERNOONS = (11.0, 12.5, 9.0, 14.0, 10.5, 8.0, 13.0, 12.0, 9.5, 11.5, 10.0, 12.0)
MINIMA = (3.0, 4.5, 1.5, 5.5, 2.0, 1.0, 4.0, 5.0, 0.5, 3.5, 2.5, 3.0)
TONIGHT = at("2026-04-13T22:10")


def one(rule: Rule, records: list[Record], now: datetime, plot: object = NORWICH, **own: float) -> Said:
    (found,) = rule.run(facts_from(records, plot), chosen(rule, own), now)  # type: ignore[arg-type]
    return found


def days(afternoons: bool) -> list[Record]:
    found = [reading(POST, at("2026-04-01T08:00"), current=5.0)]
    for n, low in enumerate(MINIMA):
        found.append(reading(POST, at(f"2026-04-{n + 2:02}T08:00"), min=low))
        if afternoons:
            found.append(reading(POST, at(f"2026-04-{n + 1:02}T16:00"), current=AFTERNOONS[n]))
    return found


def test_from_the_afternoon_by_the_predictive_t() -> None:
    """Usual fall from the afternoon, one night to come: scipy's t with n - 1 degrees of freedom."""
    records = [*GROUND, *days(afternoons=True), *LETTUCE, reading(POST, at("2026-04-13T16:00"), current=7.0)]
    found = one(evening_reading.RULE, records, TONIGHT)
    falls = [low - high for low, high in zip(MINIMA, AFTERNOONS, strict=True)]
    law = stats.t(11, loc=7.0 + fmean(falls), scale=stdev(falls) * (1 + 1 / 12) ** 0.5)
    assert isinstance(found, Due)
    assert found.numbers["basis"] == "afternoon" and found.numbers["n_nights"] == 12
    assert found.numbers["min_c"] == pytest.approx(law.mean(), rel=1e-9)
    assert (found.numbers["low_c"], found.numbers["high_c"]) == pytest.approx(law.interval(0.95), rel=1e-9)
    assert found.numbers["p"] == pytest.approx(law.cdf(-2.0), rel=1e-9)
    assert found.loud and not evening_reading.RULE.wake


def test_from_the_newest_minimum_when_nobody_read_in_the_afternoon() -> None:
    records = [*GROUND, *days(afternoons=False), *POTATO]
    found = one(evening_reading.RULE, records, TONIGHT)
    changes = [MINIMA[n + gap] - MINIMA[n] for n in range(12) for gap in (1, 2, 3) if n + gap < 12]
    law = stats.t(
        len(changes) - 1,
        loc=MINIMA[-1] + fmean(changes),
        scale=stdev(changes) * (1 + 1 / len(changes)) ** 0.5,
    )
    assert isinstance(found, Due)
    assert found.numbers["basis"] == "last_night"
    assert found.numbers["p"] == pytest.approx(law.cdf(0.0), rel=1e-9)


def test_a_warm_spell_asks_for_no_reading() -> None:
    records = [*GROUND, *days(afternoons=True), *LETTUCE, reading(POST, at("2026-04-13T16:00"), current=19.0)]
    found = one(evening_reading.RULE, records, TONIGHT)
    assert isinstance(found, Held) and "chance of harm" in found.why_not


@pytest.mark.parametrize(
    ("records", "now", "said"),
    [
        ([*LETTUCE, evening(at("2026-04-13T21:00"), 4.0, 0.0)], TONIGHT, "is there"),
        (LETTUCE, TONIGHT - timedelta(hours=2), "not the hour"),
        (LETTUCE, TONIGHT + timedelta(hours=4), "not the hour"),
        (crop("Lettuce", BED, at("2026-05-20T10:00")), TONIGHT, "known to be hurt"),
        (LETTUCE, TONIGHT, "too few days"),
    ],
)
def test_when_it_keeps_quiet(records: list[Record], now: datetime, said: str) -> None:
    found = one(evening_reading.RULE, [*GROUND, *records], now)
    assert isinstance(found, Held) and said in found.why_not


def test_a_habit_left_out_is_only_shown() -> None:
    records = [*GROUND, *LETTUCE, evening(at("2026-04-10T22:00"), 6.0, 2.0)]
    found = one(evening_reading.RULE, records, TONIGHT)
    assert isinstance(found, Due) and not found.loud and found.numbers["p"] is None


def test_in_polar_day_nobody_is_reminded() -> None:
    north = {"name": "North", "time_zone": "Europe/Oslo", "latitude": 69.65, "longitude": 18.96}
    found = one(evening_reading.RULE, [BED, *LETTUCE], at("2026-06-21T23:00", "Europe/Oslo"), north)
    assert isinstance(found, Held) and "no sunset" in found.why_not


def test_ground_frost_from_the_grass_thermometer() -> None:
    """Grass less air on the ten nights of the FAO book, spread for one night to come, put under frost-tonight."""
    differences = [-2.0, -3.1, -2.6, -1.8, -2.9, -3.4, -2.2, -2.7, -3.0, -2.3]
    records = [*GROUND, *nights(at("2026-04-01T21:30"), FAO), *POTATO]
    records.append(reading(GRASS, at("2026-04-01T08:00"), current=4.0))
    for n, (_, _, low) in enumerate(FAO):
        records.append(reading(GRASS, at(f"2026-04-{n + 2:02}T08:00"), min=low + differences[n]))
    now = at("2026-04-13T21:50")
    facts = facts_from([*records, evening(now, 12.0, 3.0)])
    found = one(ground_frost.RULE, [*records, evening(now, 12.0, 3.0)], now)
    told = frost_tonight(
        12.0,
        3.0,
        (0.0,),
        fit=learned_of(facts)["frost_fit"],
        offset_c=fmean(differences),
        offset_sd_c=stdev(differences) * (1 + 1 / 10) ** 0.5,
    )
    assert isinstance(found, Due)
    assert found.numbers["min_c"] == pytest.approx(told.min_c, rel=1e-9)
    assert found.numbers["p"] == pytest.approx(told.chances[0].p, rel=1e-9)
    assert found.numbers["n_nights"] == 10


def test_ground_frost_by_the_rule_of_thumb_says_what_it_is() -> None:
    now = at("2026-04-13T21:50")
    found = one(ground_frost.RULE, [*GROUND, *POTATO, evening(now, 7.0, 1.0)], now)
    assert isinstance(found, Due) and not found.loud
    assert "rule of thumb (common practice, no source)" in found.why
    moist = one(ground_frost.RULE, [*GROUND, *POTATO, evening(now, 7.0, 5.0)], now)
    hardy = one(ground_frost.RULE, [*GROUND, *LETTUCE, evening(now, 7.0, 1.0)], now)
    dull = one(ground_frost.RULE, [*GROUND, *POTATO, evening(now, 7.0, 1.0, sky="overcast")], now)
    assert all(isinstance(held, Held) for held in (moist, hardy, dull))


def test_one_message_a_night_is_enough() -> None:
    """Air frost is on its way and says more; ground frost is only shown."""
    now = at("2026-04-13T21:50")
    found = one(
        ground_frost.RULE,
        [*GROUND, *nights(at("2026-04-01T21:30"), FAO), *POTATO, evening(now, 4.0, -2.0)],
        now,
    )
    assert isinstance(found, Due) and not found.loud


def test_heat_aloud_today_and_as_a_note_tomorrow() -> None:
    noon = at("2026-07-10T13:00")
    hot = [
        *GROUND,
        reading(INSIDE, at("2026-07-10T08:00"), current=18.0),
        reading(INSIDE, noon, current=36.5),
    ]
    found = one(heat.RULE, hot, noon)
    assert isinstance(found, Due) and found.loud
    assert (found.key, found.urgency) == (f"{TUNNEL['id']}:2026-07-10", "Immediate")
    assert found.numbers["max_c"] == 36.5 and found.place_ids == (TUNNEL["id"],)
    morning = reading(INSIDE, at("2026-07-11T08:00"), current=19.0, max=37.0)
    noted = one(heat.RULE, [*hot, morning], at("2026-07-11T08:30"))
    assert isinstance(noted, Due) and not noted.loud and noted.urgency == "Past"
    assert isinstance(one(heat.RULE, hot, noon, limit_c=40.0), Held)
    assert isinstance(one(heat.RULE, [BED, POST, reading(POST, noon, current=36.5)], noon), Held)
