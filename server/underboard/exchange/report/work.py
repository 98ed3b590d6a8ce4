"""What was done and what came of it: treatments and their evidence, products, traps and beds, harvest and damage."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from underboard.core.agronomy.counts.proportion import proportion
from underboard.core.agronomy.nematodes.efficacy_window import LAST_DAY
from underboard.core.warnings.bed_evidence import bed_evidence
from underboard.core.warnings.replay import facts_at
from underboard.core.warnings.rules import treatment_scored
from underboard.core.warnings.rules.wireworm_words import bed_words
from underboard.core.warnings.terms import Due
from underboard.core.warnings.traps_seen import flaw_words, lifted_traps, place_of
from underboard.core.warnings.wording import amount, day_words, percent
from underboard.exchange.holding import Wire
from underboard.exchange.report.parts import Block, Grid, Words
from underboard.exchange.report.period import Looked

#: Kinds that use a product or an animal from outside, of which growers keep a record.
PRODUCT_KINDS = ("pellets", "nematodes", "brew", "other")


def treatments_grid(looked: Looked) -> list[Block]:
    """Treatments of the period, and what the boards say of each."""
    rows = []
    for one in looked.seen("treatment"):
        body = one["body"]
        rows.append(
            (
                day_words(looked.day(body["observed_at"])),
                _kind(body),
                looked.places(body.get("place_ids")),
                looked.places(body.get("control_place_ids")) or "none named",
                evidence_of(looked, one),
            )
        )
    if not rows:
        return [Words("None was recorded.")]
    return [Grid(("When", "What", "Where", "Untreated beside it", "What the boards say"), tuple(rows))]


def evidence_of(looked: Looked, treatment: Wire) -> str:
    """Return the verdict on a treatment with its interval, or why there is none, as the warnings say it."""
    day = looked.day(treatment["body"]["observed_at"])
    until = datetime.combine(day + timedelta(days=LAST_DAY + 1), datetime.min.time(), looked.zone)
    at = min(until, looked.end)
    settings = dict(looked.settings(treatment_scored.NAME))
    for said in treatment_scored.run(facts_at(looked.facts, at), settings, at):
        if said.key == treatment["id"]:
            return f"{said.headline} {said.why}" if isinstance(said, Due) else said.why_not
    return "Boards are not meant to judge this."


def product_grid(looked: Looked) -> list[Block]:
    """The record of products used: what, where, when, rate, harvest interval; what is missing is named."""
    rows = []
    for one in looked.seen("treatment"):
        body = one["body"]
        if body.get("kind") in PRODUCT_KINDS or body.get("product"):
            rows.append(_product_row(looked, body))
    if not rows:
        return [Words("No product was recorded in this time.")]
    heads = (
        "Date and time", "Product (authorisation no.)", "Where, and crop", "Area, m²", "Amount used", "Rate a m²",
        "Water, l", "Harvest interval, days", "Not to be harvested before", "By", "Missing",
    )  # fmt: skip
    return [Grid(heads, tuple(rows))]


def _product_row(looked: Looked, body: Any) -> tuple[str, ...]:
    at = datetime.fromisoformat(body["observed_at"]).astimezone(looked.zone)
    quantity, area, wait = body.get("amount"), body.get("area_m2"), body.get("harvest_interval_days")
    places = [one for one in body.get("place_ids") or ()]
    if area is None:
        areas = [looked.facts.places[one].area_m2 if one in looked.facts.places else None for one in places]
        area = sum(one for one in areas if one is not None) if areas and None not in areas else None
    crops = sorted({crop for place in places for crop in _crops(looked, place, at.date())})
    missing = [
        word
        for word, value in (
            ("product", body.get("product")), ("authorisation number", body.get("authorisation_number")),
            ("place", places), ("area", area), ("amount", quantity), ("harvest interval", wait),
        )
        if value in (None, "", [])
    ]  # fmt: skip
    if body.get("kind") in ("nematodes", "brew"):  # animals have no authorisation number and no interval
        missing = [word for word in missing if word not in ("authorisation number", "harvest interval")]
    number = f" ({body['authorisation_number']})" if body.get("authorisation_number") else ""
    return (
        f"{day_words(at.date())} {at:%H:%M}",
        f"{body.get('product') or _kind(body)}{number}",
        "; ".join(part for part in (looked.places(places), ", ".join(crops)) if part),
        "" if area is None else f"{area:g}",
        "" if quantity is None else f"{quantity['value']:g} {_unit(quantity['unit'])}",
        "" if quantity is None or not area else f"{quantity['value'] / area:.4g} {_unit(quantity['unit'])}",
        "" if body.get("water_l") is None else f"{body['water_l']:g}",
        "" if wait is None else str(wait),
        "" if wait is None else day_words(at.date() + timedelta(days=int(wait))),
        str(body.get("observer") or ""),
        ", ".join(missing),
    )


def _crops(looked: Looked, place_id: str, day: date) -> list[str]:
    return [
        crop.kind
        for crop in looked.facts.crops
        if crop.place_id == place_id
        and (crop.started_on is None or crop.started_on <= day)
        and (crop.ended_on is None or crop.ended_on >= day)
    ]


def _kind(body: Any) -> str:
    return str(body.get("kind") or "").replace("_", " ")


def _unit(unit: str) -> str:
    return unit.replace("imperial_", "imperial ")


def traps_grid(looked: Looked) -> list[Block]:
    """Traps lifted in the period, valid or not and why."""
    facts = looked.facts
    rows = []
    for one in facts.catches:
        if one.lifted_at is None or not looked.first <= looked.day(one.lifted_at) <= looked.last:
            continue
        caught = {"none_found": "none found", "not_turned": "not lifted", "spoiled": "spoiled"}.get(
            one.state or ""
        )
        rows.append(
            (
                day_words(looked.day(one.lifted_at)),
                facts.stations[one.station_id].label if one.station_id in facts.stations else "",
                facts.label(place_of(facts, one)),
                caught or ("" if one.wireworms is None else str(one.wireworms)),
                "" if one.soil_c is None else amount(one.soil_c),
                "yes" if one.valid else f"no: {flaw_words(one.flaws)}" if one.valid is False else "not known",
            )
        )
    if not rows:
        return [Words("No trap was lifted.")]
    return [
        Grid(
            ("Lifted", "Trap", "Bed", "Wireworms", "Soil, °C", "Valid (10 to 14 days, soil above 8 °C)"),
            tuple(rows),
        )
    ]


def beds(looked: Looked) -> list[Block]:
    """The verdict on each bed from the traps and cores of this year and last, with what it rests on."""
    facts, settings = looked.facts, looked.settings("wireworm")
    since = date(looked.last.year - 1, 1, 1)
    traps = lifted_traps(facts, since, looked.end)
    blocks: list[Block] = []
    cautions = set()
    for place in sorted(facts.places.values(), key=lambda one: (one.label, one.id)):
        evidence = bed_evidence(
            [one for one in traps if place_of(facts, one) == place.id],
            [one for one in facts.samples if one.place_id == place.id and looked.day(one.at) >= since],
            settings,
        )
        if evidence.verdict is not None:
            words = bed_words(place, evidence, evidence.verdict, settings)
            blocks.append(Words(f"{words.headline} {words.why} {words.advice}"))
            cautions.add(words.caution)
    if not blocks:
        return [
            Words(
                "No bed has a trap or core that counts, so nothing is known of wireworms. That is not the same as none."
            )
        ]
    return [*blocks, *(Words(one, True) for one in sorted(cautions) if one)]


def harvest_grid(looked: Looked) -> list[Block]:
    """Harvest by crop, and the share of what was examined that was damaged, with its interval."""
    weights: dict[str, list[float]] = {}
    for one in looked.seen("crop_event"):
        if one["body"].get("what") == "harvested":
            weights.setdefault(str(one["body"].get("crop_id")), []).append(float(one["body"].get("kg") or 0))
    blocks: list[Block] = []
    if weights:
        lifted = [(_crop(looked, crop), amount(sum(kg)), str(len(kg))) for crop, kg in weights.items()]
        blocks.append(Grid(("Crop", "Harvest, kg", "Times"), tuple(sorted(lifted))))
    hurt: dict[tuple[str, str], list[tuple[int, int]]] = {}
    for one in looked.seen("damage"):
        body = one["body"]
        of = _crop(looked, body.get("crop_id")) or looked.holding.label(body.get("place_id"))
        hurt.setdefault((of, str(body.get("cause") or "not known")), []).append(
            (body["damaged"], body["examined"])
        )
    rows = []
    for (of, cause), seen in sorted(hurt.items()):
        damaged, examined = sum(one for one, _ in seen), sum(one for _, one in seen)
        if 0 < examined >= damaged:
            found = proportion(damaged, examined)
            share = (
                f"{percent(found.proportion)} ({percent(found.wilson_low)} to {percent(found.wilson_high)})"
            )
            rows.append((of, cause, str(examined), str(damaged), share))
    if rows:
        blocks.append(
            Grid(("Crop or place", "Cause", "Examined", "Damaged", "Share damaged (95 %)"), tuple(rows))
        )
    return blocks or [Words("No harvest and no damage was recorded.")]


def _crop(looked: Looked, crop_id: str | None) -> str:
    body = looked.holding.body(crop_id)
    return ", ".join(str(body[name]) for name in ("kind", "variety") if body.get(name))
