"""What was done and what came of it: treatments and their evidence, products, traps and beds, harvest and damage."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from underboard.core.agronomy.counts.proportion import proportion
from underboard.core.agronomy.nematodes.efficacy_window import LAST_DAY
from underboard.core.warnings.bed_evidence import bed_evidence
from underboard.core.warnings.facts import CatchFact
from underboard.core.warnings.replay import facts_at
from underboard.core.warnings.rules import treatment_scored
from underboard.core.warnings.rules.wireworm_words import bed_words
from underboard.core.warnings.terms import Due
from underboard.core.warnings.traps_seen import flaw_words, lifted_traps, place_of
from underboard.core.warnings.wording import sentences
from underboard.exchange.holding import Wire
from underboard.exchange.report.parts import Block, Grid, Words
from underboard.exchange.report.period import Looked
from underboard.exchange.report.slugs import kind_words
from underboard.exchange.report.tongue import Tongue

#: Kinds that use a product or an animal from outside, of which growers keep a record.
PRODUCT_KINDS = ("pellets", "nematodes", "brew", "other")


def treatments_grid(looked: Looked) -> list[Block]:
    """Treatments of the period, and what the boards say of each."""
    tongue, say = looked.tongue, looked.tongue.say
    rows = []
    for one in looked.seen("treatment"):
        body = one["body"]
        rows.append(
            (
                tongue.day(looked.day(body["observed_at"])),
                kind_words(body, tongue),
                looked.places(body.get("place_ids")),
                looked.places(body.get("control_place_ids")) or say("none named"),
                evidence_of(looked, one),
            )
        )
    if not rows:
        return [Words(say("None was recorded."))]
    return [
        Grid(
            (say("When"), say("What"), say("Where"), say("Untreated beside it"), say("What the boards say")),
            tuple(rows),
            told_below=True,
        )
    ]


def evidence_of(looked: Looked, treatment: Wire) -> str:
    """Return the verdict on a treatment with its interval, or why there is none, as the warnings say it."""
    day = looked.day(treatment["body"]["observed_at"])
    until = datetime.combine(day + timedelta(days=LAST_DAY + 1), datetime.min.time(), looked.zone)
    at = min(until, looked.end)
    settings = dict(looked.settings(treatment_scored.NAME))
    for said in treatment_scored.run(facts_at(looked.facts, at), settings, at):
        if said.key == treatment["id"]:
            parts = (said.headline, said.why) if isinstance(said, Due) else (said.why_not,)
            return sentences(*map(looked.tongue.said, parts))
    return looked.tongue.say("Boards are not meant to judge this.")


def product_grid(looked: Looked) -> list[Block]:
    """The record of products used: what, where, when, rate, harvest interval; what is missing is named."""
    say, rows = looked.tongue.say, []
    for one in looked.seen("treatment"):
        body = one["body"]
        if body.get("kind") in PRODUCT_KINDS or body.get("product"):
            rows.append(_product_row(looked, body))
    if not rows:
        return [Words(say("No product was recorded in this time."))]
    heads = (
        say("Date and time"), say("Product (authorisation no.)"), say("Where, and crop"), say("Area, m²"),
        say("Amount used"), say("Rate a m²"), say("Water, l"), say("Harvest interval, days"),
        say("Not to be harvested before"), say("By"), say("Missing"),
    )  # fmt: skip
    return [Grid(heads, tuple(rows))]


def _product_row(looked: Looked, body: Any) -> tuple[str, ...]:
    tongue, say = looked.tongue, looked.tongue.say
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
        f"{tongue.day(at.date())} {at:%H:%M}",
        f"{body.get('product') or kind_words(body, tongue)}{number}",
        "; ".join(part for part in (looked.places(places), ", ".join(crops)) if part),
        "" if area is None else tongue.number(f"{area:g}"),
        ""
        if quantity is None
        else f"{tongue.number(format(quantity['value'], 'g'))} {_unit(quantity['unit'], tongue)}",
        ""
        if quantity is None or not area
        else f"{tongue.number(format(quantity['value'] / area, '.4g'))} {_unit(quantity['unit'], tongue)}",
        "" if body.get("water_l") is None else tongue.number(f"{body['water_l']:g}"),
        "" if wait is None else str(wait),
        "" if wait is None else tongue.day(at.date() + timedelta(days=int(wait))),
        str(body.get("observer") or ""),
        ", ".join(map(say, missing)),
    )


def _crops(looked: Looked, place_id: str, day: date) -> list[str]:
    return [
        crop.kind
        for crop in looked.facts.crops
        if crop.place_id == place_id
        and (crop.started_on is None or crop.started_on <= day)
        and (crop.ended_on is None or crop.ended_on >= day)
    ]


def _unit(unit: str, tongue: Tongue) -> str:
    words = unit.replace("imperial_", "imperial ")
    return tongue.say(words) if words in ("million", "imperial pint", "imperial gallon") else words


def traps_grid(looked: Looked) -> list[Block]:
    """Traps lifted in the period, valid or not and why."""
    facts, tongue, say = looked.facts, looked.tongue, looked.tongue.say
    rows = []
    for one in facts.catches:
        if one.lifted_at is None or not looked.first <= looked.day(one.lifted_at) <= looked.last:
            continue
        caught = {"none_found": "none found", "not_turned": "not lifted", "spoiled": "spoiled"}.get(
            one.state or ""
        )
        rows.append(
            (
                tongue.day(looked.day(one.lifted_at)),
                facts.stations[one.station_id].label if one.station_id in facts.stations else "",
                facts.label(place_of(facts, one)),
                say(caught) if caught else ("" if one.wireworms is None else str(one.wireworms)),
                "" if one.soil_c is None else tongue.amount(one.soil_c),
                _counts(looked, one),
            )
        )
    if not rows:
        return [Words(say("No trap was lifted."))]
    return [
        Grid(
            (
                say("Lifted"),
                say("Trap"),
                say("Bed"),
                say("Wireworms"),
                say("Soil, °C"),
                say("Valid (10 to 14 days, soil above 8 °C)"),
            ),
            tuple(rows),
        )
    ]


def _counts(looked: Looked, one: CatchFact) -> str:
    say = looked.tongue.say
    if one.valid is None:
        return say("not known")
    flaws = "; ".join(say(flaw_words([flaw])) for flaw in one.flaws)
    return say("yes") if one.valid else say("no: {why}", why=flaws)


def beds(looked: Looked) -> list[Block]:
    """The verdict on each bed from the traps and cores of this year and last, with what it rests on."""
    facts, settings = looked.facts, looked.settings("wireworm")
    since = date(looked.last.year - 1, 1, 1)
    traps = lifted_traps(facts, since, looked.end)
    said, say = looked.tongue.said, looked.tongue.say
    rows: list[tuple[str, str]] = []
    advice: dict[str, list[str]] = {}
    cautions = set()
    for place in sorted(facts.places.values(), key=lambda one: (one.label, one.id)):
        evidence = bed_evidence(
            [one for one in traps if place_of(facts, one) == place.id],
            [one for one in facts.samples if one.place_id == place.id and looked.day(one.at) >= since],
            settings,
        )
        if evidence.verdict is not None:
            words = bed_words(place, evidence, evidence.verdict, settings)
            rows.append((said(words.headline), said(words.why)))
            advice.setdefault(said(words.advice), []).append(place.label)
            cautions.add(words.caution)
    if not rows:
        return [
            Words(
                looked.tongue.say(
                    "No bed has a trap or core that counts, so nothing is known of wireworms. That is not "
                    "the same as none."
                )
            )
        ]
    return [
        Grid((say("Bed, and what it may carry"), say("What that rests on")), tuple(rows), told_below=True),
        *(Words(f"{looked.tongue.listed(labels, 12)}: {words}") for words, labels in advice.items()),
        *(Words(said(one), True) for one in sorted(cautions) if one),
    ]


def harvest_grid(looked: Looked) -> list[Block]:
    """Harvest by crop, and the share of what was examined that was damaged, with its interval."""
    tongue, say = looked.tongue, looked.tongue.say
    weights: dict[str, list[float]] = {}
    for one in looked.seen("crop_event"):
        if one["body"].get("what") == "harvested":
            weights.setdefault(str(one["body"].get("crop_id")), []).append(float(one["body"].get("kg") or 0))
    blocks: list[Block] = []
    if weights:
        lifted = [(_crop(looked, crop), tongue.amount(sum(kg)), str(len(kg))) for crop, kg in weights.items()]
        blocks.append(Grid((say("Crop"), say("Harvest, kg"), say("Times")), tuple(sorted(lifted))))
    hurt: dict[tuple[str, str], list[tuple[int, int]]] = {}
    for one in looked.seen("damage"):
        body = one["body"]
        of = _crop(looked, body.get("crop_id")) or looked.holding.label(body.get("place_id"))
        hurt.setdefault((of, str(body.get("cause") or say("not known"))), []).append(
            (body["damaged"], body["examined"])
        )
    rows = []
    for (of, cause), seen in sorted(hurt.items()):
        damaged, examined = sum(one for one, _ in seen), sum(one for _, one in seen)
        if 0 < examined >= damaged:
            found = proportion(damaged, examined)
            share = tongue.share(found.proportion, found.wilson_low, found.wilson_high)
            rows.append((of, cause, str(examined), str(damaged), share))
    if rows:
        blocks.append(
            Grid(
                (
                    say("Crop or place"),
                    say("Cause"),
                    say("Examined"),
                    say("Damaged"),
                    say("Share damaged (95 %)"),
                ),
                tuple(rows),
            )
        )
    return blocks or [Words(say("No harvest and no damage was recorded."))]


def _crop(looked: Looked, crop_id: str | None) -> str:
    body = looked.holding.body(crop_id)
    return ", ".join(str(body[name]) for name in ("kind", "variety") if body.get(name))
