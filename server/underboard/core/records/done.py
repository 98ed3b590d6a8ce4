"""Records of what was done: crops and their events, treatments, cultures, trials."""

# ruff: noqa: RUF009 - spec() is dataclasses.field() with rules; every default is None

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.records.ground import TEMPERATURE_UNITS
from underboard.core.records.spec import Quantity, Record, record_type, spec

_PHOTOS: dict[str, Any] = {"max_length": 20}


TREATMENT_KINDS = (
    "nematodes",
    "brew",
    "mulch",
    "cultivation",
    "cover",
    "hand_collection",
    "pellets",
    "watering",
    "other",
)


@record_type("crop")
@dataclass(frozen=True, kw_only=True)
class Crop(Record):
    """One sowing or planting in a place."""

    place_id: str | None = spec("ref", "Where it grows.", target="place")
    kind: str | None = spec("text", "Which crop.", required=True, max_length=80)
    variety: str | None = spec("text", "Which variety.", max_length=80)
    seed_batch: str | None = spec("text", "Which packet or batch.", max_length=80)
    started_on: str | None = spec("day", "Chitted, sown or planted on this local date.")
    ended_on: str | None = spec("day", "Cleared on this local date.")


@record_type("crop_event")
@dataclass(frozen=True, kw_only=True)
class CropEvent(Record):
    """Something that happened to a crop."""

    crop_id: str | None = spec("ref", "The crop.", required=True, target="crop")
    what: str | None = spec(
        "choice",
        "What was done or seen.",
        required=True,
        choices=(
            "chitted",
            "sown",
            "potted",
            "hardened",
            "planted",
            "covered",
            "earthed_up",
            "harvested",
            "stage",
        ),
    )
    observed_at: str | None = spec("instant", "When, with the offset of the place.", required=True)
    kg: float | None = spec("number", "Harvest, kilograms.", minimum=0, maximum=1e6)
    count: int | None = spec("whole", "Pieces or plants.", minimum=0, maximum=1_000_000)
    stage: str | None = spec("text", "Growth stage reached.", max_length=80)
    place_id: str | None = spec("ref", "Where it went.", target="place")
    observer: str | None = spec("text", "Who did it: a member's name.", max_length=80)
    photos: tuple[Mapping[str, Any], ...] | None = spec("photos", "Photos of it.", **_PHOTOS)


@record_type("treatment")
@dataclass(frozen=True, kw_only=True)
class Treatment(Record):
    """Something done to places against slugs or wireworms, or that changes their numbers."""

    kind: str | None = spec(
        "choice",
        "What was done.",
        required=True,
        choices=TREATMENT_KINDS,
    )
    place_ids: tuple[str, ...] | None = spec("refs", "Treated places.", target="place", max_length=500)
    control_place_ids: tuple[str, ...] | None = spec(
        "refs", "Places left untreated to compare with.", target="place", max_length=500
    )
    area_m2: float | None = spec("number", "Area treated, square metres.", minimum=0, maximum=1e7)
    product: str | None = spec("text", "Product, as on the label.", max_length=200)
    authorisation_number: str | None = spec("text", "Authorisation number on the label.", max_length=80)
    harvest_interval_days: int | None = spec(
        "whole", "Days to wait before harvest, from the label.", minimum=0, maximum=1000
    )
    culture_id: str | None = spec("ref", "The culture it came from.", target="culture")
    amount: Quantity | None = spec(
        "quantity",
        "How much was used.",
        units=("ml", "l", "g", "kg", "million", "imperial_pint", "imperial_gallon"),
        minimum=0,
        maximum=1e9,
    )
    water_l: float | None = spec("number", "Water used, litres.", minimum=0, maximum=1e6)
    soil: Quantity | None = spec(
        "quantity", "Soil temperature.", units=TEMPERATURE_UNITS, minimum=-200, maximum=300
    )
    moisture: str | None = spec("choice", "The soil.", choices=("dry", "damp", "wet"))
    observed_at: str | None = spec("instant", "When, with the offset of the place.", required=True)
    observer: str | None = spec("text", "Who did it: a member's name.", max_length=80)
    photos: tuple[Mapping[str, Any], ...] | None = spec("photos", "Photos of it.", **_PHOTOS)


@record_type("culture")
@dataclass(frozen=True, kw_only=True)
class Culture(Record):
    """A batch of home-raised nematodes, from start to use. What it holds is unidentified unless bought."""

    label: str | None = spec("text", "Its name.", max_length=80)
    started_at: str | None = spec("instant", "When it was started.", required=True)
    source: str | None = spec(
        "choice",
        "Where the animals came from. Unidentified unless bought and labelled.",
        choices=("unidentified", "bought_labelled"),
    )
    vessel: str | None = spec("text", "What it is kept in.", max_length=200)
    temperature: Quantity | None = spec(
        "quantity", "Temperature it is kept at.", units=TEMPERATURE_UNITS, minimum=-200, maximum=300
    )
    aliquot_counts: tuple[float, ...] | None = spec(
        "numbers", "Animals counted in each aliquot.", max_length=100
    )
    aliquot_ml: float | None = spec("number", "Size of an aliquot, millilitres.", minimum=0, maximum=1000)
    dilution: float | None = spec("number", "Times diluted before counting.", minimum=1, maximum=1e6)
    strained_at: str | None = spec("instant", "When it was strained.")
    used_at: str | None = spec("instant", "When it was used.")
    discarded_at: str | None = spec("instant", "When it was thrown away.")
    observed_at: str | None = spec("instant", "When this was last looked at.")
    observer: str | None = spec("text", "Who keeps it: a member's name.", max_length=80)


@record_type("trial")
@dataclass(frozen=True, kw_only=True)
class Trial(Record):
    """A named comparison of treated against untreated places. The analysis is worked out anew each time."""

    name: str | None = spec("text", "Its name.", required=True, max_length=120)
    question: str | None = spec("text", "What it is to answer.", max_length=1000)
    treated_ids: tuple[str, ...] | None = spec("refs", "Treated places or boards.", max_length=500)
    control_ids: tuple[str, ...] | None = spec("refs", "Untreated places or boards.", max_length=500)
    blocks: Mapping[str, Any] | None = spec("settings", "Block name for each place or board id.")
    before_from: str | None = spec("day", "Before the treatment: first day.")
    before_to: str | None = spec("day", "Before the treatment: last day.")
    after_from: str | None = spec("day", "After the treatment: first day.")
    after_to: str | None = spec("day", "After the treatment: last day.")
    treatment_ids: tuple[str, ...] | None = spec(
        "refs", "The treatments.", target="treatment", max_length=100
    )
    kind: str | None = spec(
        "choice", "What is tried; decides when counts may judge it.", choices=TREATMENT_KINDS
    )
    treat_on: str | None = spec("day", "Day of the treatment, planned or done.")
    allocation: str | None = spec(
        "choice",
        "How treated and untreated ones were told apart: drawn, drawn within blocks, or chosen by a person.",
        choices=("random", "blocked", "chosen"),
    )
    seed: int | None = spec(
        "whole",
        "What the draw began with: the same seed gives the same draw.",
        minimum=0,
        maximum=4_294_967_295,
    )
    percent_fewer: float | None = spec(
        "number", "The effect it is meant to find, percent fewer.", minimum=0, maximum=100
    )
