"""Crops, treatments, one brew of nematodes, a trial and a few notes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from underboard.exchange.demo.chance import Chance, degc, in_year, moment, stamp
from underboard.exchange.demo.ground import Ground, Told, observed
from underboard.exchange.demo.scenario import Scenario

STAGES = ("chitted", "sown", "planted", "harvested")
NOTES = (
    ("04-02", "Boards turned rough side down again; slugs sit on the rough side."),
    ("05-28", "Two ground beetles under Board 9, left in peace."),
    ("08-27", "Rain for a week, slime on every path."),
    ("10-12", "Grass edge by Sea 3 cut back to the stakes."),
)


def growing_ops(
    scenario: Scenario, ground: Ground, chance: Chance, years: tuple[int, int], today: date
) -> Iterator[Told]:
    """Yield what was grown and done in both seasons, as far as it lies before today."""
    for year in years:
        for crop in scenario.crops:
            yield from _crop(ground, chance, crop, year, today)
        for month_day, text in NOTES:
            on = in_year(month_day, year)
            if on < today:
                at = moment(on, 8.25, ground.zone)
                yield 0, chance.put("note", at, {"text": text, **observed(at, ground.names[0])})
    culture_id, said = _culture(ground, chance, years[1])
    if date(years[1], 6, 14) < today:
        yield said
    drenches: list[str] = []
    for treatment in scenario.treatments:
        on = in_year(treatment["on"], years[treatment["season"]])
        if on < today:
            said = _treatment(ground, chance, treatment, on, culture_id)
            if treatment["season"] == 1 and treatment["kind"] == "nematodes":
                drenches.append(said[1]["id"])
            yield said
    yield _trial(scenario, ground, chance, years[1], drenches[:1])


def _crop(ground: Ground, chance: Chance, crop: dict[str, Any], year: int, today: date) -> Iterator[Told]:
    steps = [(in_year(crop[what], year), what) for what in STAGES if what in crop]
    steps = [(on, what) for on, what in steps if on < today]
    if not steps:
        return
    place_id = ground.places[crop["place"]]
    first = moment(steps[0][0], 11, ground.zone)
    set_ = {
        "place_id": place_id,
        "kind": crop["kind"],
        "variety": crop["variety"],
        "started_on": steps[0][0].isoformat(),
        **observed(first, ground.names[0]),
    }
    op = chance.put("crop", first, set_)
    yield 0, op
    for on, what in steps:
        at = moment(on, 11, ground.zone)
        event: dict[str, Any] = {
            "crop_id": op["id"],
            "what": what,
            "place_id": place_id,
            **observed(at, ground.names[0]),
        }
        if what == "harvested":
            event["kg"] = round(crop["kg"] * chance.uniform(0.8, 1.1), 1)
            damage = {
                "crop_id": op["id"],
                "place_id": place_id,
                "examined": crop["examined"],
                "damaged": crop["damaged"],
                "cause": crop["cause"],
                **observed(at, ground.names[0]),
            }
            yield 0, chance.put("damage", at, damage)
        yield 0, chance.put("crop_event", at, event)


def _culture(ground: Ground, chance: Chance, year: int) -> tuple[str, Told]:
    started = moment(date(year, 5, 30), 10, ground.zone)
    set_ = {
        "label": "Bucket brew",
        "started_at": stamp(started),
        "source": "unidentified",
        "vessel": "lidded bucket, 12 l",
        "aliquot_counts": [12, 15, 9, 14, 10],
        "aliquot_ml": 0.05,
        "strained_at": stamp(moment(date(year, 6, 14), 18, ground.zone)),
        **observed(started, ground.names[0]),
    }
    op = chance.put("culture", started, set_)
    return op["id"], (0, op)


def _treatment(ground: Ground, chance: Chance, treatment: dict[str, Any], on: date, culture_id: str) -> Told:
    at = moment(on, 19.5, ground.zone)
    set_: dict[str, Any] = {
        "kind": treatment["kind"],
        "place_ids": [ground.places[key] for key in treatment["places"]],
        "control_place_ids": [ground.places[key] for key in treatment["controls"]],
        **observed(at, ground.names[0]),
    }
    for key in ("product", "water_l", "moisture"):
        if key in treatment:
            set_[key] = treatment[key]
    if "soil_c" in treatment:
        set_["soil"] = degc(treatment["soil_c"])
    if treatment["kind"] == "brew":
        set_["culture_id"] = culture_id
    return 0, chance.put("treatment", at, set_)


def _trial(scenario: Scenario, ground: Ground, chance: Chance, year: int, treatment_ids: list[str]) -> Told:
    drench = next(t for t in scenario.treatments if t["season"] == 1 and t["kind"] == "nematodes")
    on = in_year(drench["on"], year)
    at = moment(on, 20, ground.zone)
    set_ = {
        "name": "Nematode drench in May",
        "question": "Does the nematode drench leave fewer slugs under the boards?",
        "treated_ids": [ground.places[key] for key in drench["places"]],
        "control_ids": [ground.places[key] for key in drench["controls"]],
        "before_from": (on - timedelta(days=28)).isoformat(),
        "before_to": on.isoformat(),
        "after_from": (on + timedelta(days=7)).isoformat(),
        "after_to": (on + timedelta(days=42)).isoformat(),
        "treatment_ids": treatment_ids,
        "kind": "nematodes",
        "treat_on": on.isoformat(),
        "allocation": "chosen",
        "percent_fewer": 50,
        "observed_at": stamp(at),
    }
    return 0, chance.put("trial", at, set_)
