"""Which beds may carry potatoes or carrots this year?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.warnings.bed_evidence import BedEvidence, Verdict, bed_evidence, needed_traps
from underboard.core.warnings.facts import Facts, PlaceFact
from underboard.core.warnings.plot_time import at_clock, today_of
from underboard.core.warnings.rules.wireworm_words import bed_words, since_grass
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.traps_seen import lifted_traps, place_of
from underboard.core.warnings.wording import day_words, month_words, times

NAME = "wireworm"
_HURT = ("potato", "carrot")


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer a verdict for each bed with a trap or core, in the months before planting."""
    today = today_of(facts, now)
    first, last = settings["from_month"], max(settings["from_month"], settings["to_month"])
    if not first <= today.month <= last:
        said = f"The verdict for the beds comes from {month_words(first)} to {month_words(last)}, before planting."
        yield Held(rule=NAME, why_not=said)
        return
    # What was found this year and last speaks for a bed: larvae live four to five years.
    since = date(today.year - 1, 1, 1)
    traps = lifted_traps(facts, since, now)
    beds = [one for one in facts.places.values() if one.kind in ("bed", "open_ground", "tunnel", "frame")]
    if not beds:
        yield Held(rule=NAME, why_not="There are no beds yet.")
    for place in sorted(beds, key=lambda one: one.id):
        planted_on = _planted(facts, place.id, today)
        evidence = bed_evidence(
            [one for one in traps if place_of(facts, one) == place.id],
            [
                one
                for one in facts.samples
                if one.place_id == place.id and since <= one.at.date() and one.at <= now
            ],
            settings,
        )
        if planted_on is not None:
            said = f"{place.label} was planted on {day_words(planted_on)}; the verdict comes before planting."
            yield Held(rule=NAME, key=place.id, why_not=said)
        elif evidence.verdict is None:
            yield Held(rule=NAME, key=place.id, why_not=_no_evidence(place, evidence, settings))
        else:
            yield _due(facts, place, evidence, evidence.verdict, settings, today.year, (first, last))


def _no_evidence(place: PlaceFact, evidence: BedEvidence, settings: Mapping[str, Any]) -> str:
    needed = needed_traps(settings)
    seen = "no trap and no core yet"
    if evidence.not_counted:
        seen = f"{times(evidence.not_counted, 'trap')} that cannot be counted, and no other"
    plan = f" {needed} valid traps with none would speak for it." if needed else ""
    return f"{place.label}: {seen}, so nothing is known.{plan} {since_grass(place)}".strip()


def _planted(facts: Facts, place_id: str, today: date) -> date | None:
    """When a crop that wireworms hurt was sown or planted in a bed this year."""
    days = [
        on
        for crop in facts.crops
        if crop_damage(crop.kind).crop in _HURT
        for on, what, _, where in crop.events
        if what in ("sown", "planted")
        and on.year == today.year
        and on <= today
        and (where or crop.place_id) == place_id
    ]
    return min(days, default=None)


def _due(
    facts: Facts,
    place: PlaceFact,
    evidence: BedEvidence,
    verdict: Verdict,
    settings: Mapping[str, Any],
    year: int,
    months: tuple[int, int],
) -> Due:
    words = bed_words(place, evidence, verdict, settings)
    return Due(
        rule=NAME,
        key=f"{place.id}:{year}",
        window_start=at_clock(facts, date(year, months[0], 1)),
        window_end=at_clock(facts, date(year + months[1] // 12, months[1] % 12 + 1, 1)),
        severity="Severe" if verdict == "do_not" else "Moderate" if verdict == "earlies_only" else "Minor",
        urgency="Future",
        certainty="Observed"
        if verdict == "do_not"
        else "Likely"
        if verdict == "earlies_only"
        else "Possible",
        headline=words.headline,
        why=words.why,
        advice=words.advice,
        caution=words.caution,
        numbers=_numbers(place, evidence, verdict, settings),
        place_ids=(place.id,),
        loud=verdict in ("do_not", "earlies_only"),
    )


def _numbers(
    place: PlaceFact, evidence: BedEvidence, verdict: Verdict, settings: Mapping[str, Any]
) -> dict[str, Any]:
    found: dict[str, Any] = {
        "verdict": verdict,
        "broken_year": place.broken_year,
        "traps_not_counted": evidence.not_counted,
        "found_in_them": evidence.found_anyway,
        "more_traps_with_none": evidence.more_traps,
    }
    if evidence.traps is not None:
        traps = evidence.traps
        found |= {
            "traps": traps.n,
            "wireworms": traps.found,
            "per_trap": traps.rate.per_trap,
            "per_trap_low": traps.rate.low_per_trap,
            "per_trap_high": traps.rate.high_per_trap,
            "tolerated_per_trap": settings["plant_per_trap"],
            "chance_missed": traps.p_miss,
        }
    if evidence.cores:
        found["cores"] = [
            {
                "cores": one.n,
                "wireworms": one.found,
                "per_ha": one.rate.per_ha,
                "per_ha_low": one.rate.low_per_ha,
                "per_ha_high": one.rate.high_per_ha,
                "chance_missed": one.p_miss,
            }
            for one in evidence.cores
        ]
    return found


RULE = Rule(
    name=NAME,
    title="Wireworm verdict",
    question="Which beds may carry potatoes or carrots this year?",
    group="pests",
    source="limits: Garwood 1936; traps: Furlan 2014, J. Pest Sci. 87:609, and common practice, no source",
    run=run,
    settings=(
        Setting(
            name="from_month",
            kind="whole",
            default=2,
            low=1,
            high=12,
            doc="First month in which the verdict is told: when potatoes are ordered and beds are chosen.",
        ),
        Setting(
            name="to_month",
            kind="whole",
            default=5,
            low=1,
            high=12,
            doc="Last month in which the verdict is told: when the last potatoes and carrots go in.",
        ),
        Setting(
            name="plant_per_trap",
            kind="number",
            default=0.5,
            unit="wireworms a trap",
            low=0.05,
            high=10,
            doc="So many a trap on average would be tolerated (common practice, no source; nobody publishes one "
            "for a small plot).",
        ),
        Setting(
            name="do_not_per_trap",
            kind="number",
            default=1.0,
            unit="wireworms a trap",
            low=0.1,
            high=20,
            doc="From so many a trap on: do not plant. Above 1 a trap maize was hurt by Agriotes brevis (Furlan "
            "2014; not a British species).",
        ),
        Setting(
            name="do_not_per_ha",
            kind="number",
            default=60_000.0,
            unit="wireworms a hectare",
            low=5_000,
            high=1_000_000,
            doc="From such a density in soil cores on: do not plant. About 60,000 a hectare can do major damage "
            "(ADAS, in the farming press, 2001).",
        ),
        Setting(
            name="clumping_k",
            kind="number",
            default=0.5,
            low=0.05,
            high=100,
            doc="How clumped wireworms lie between traps: small is clumped and needs more traps (from memory, "
            "no source).",
        ),
    ),
)
