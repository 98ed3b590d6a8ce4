"""The words of a verdict on a bed. A nil result is never called safe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.warnings.bed_evidence import BedEvidence, Verdict
from underboard.core.warnings.facts import PlaceFact
from underboard.core.warnings.wording import amount, percent, sentences, span, times

_ADVICE: Mapping[Verdict, str] = {
    "do_not": (
        "Commonly grown instead: beans, peas, brassicas or onions. Keep it free of grass and weeds, and turn the "
        "soil in spring and autumn where birds can see it. Trap again before next season."
    ),
    "earlies_only": (
        "Commonly: earlies only, lifted by the end of July, before the worst feeding on tubers in late summer; "
        "maincrop potatoes and carrots elsewhere."
    ),
    "wait": "Commonly: set more bait traps, 10 to 14 days in moist, bare soil above 8 °C, before choosing this bed.",
    "plant": (
        "Commonly: plant, and look at the first tubers lifted: 20 to 50 of them for holes. Lift before autumn."
    ),
}


@dataclass(frozen=True)
class BedWords:
    """What a person reads."""

    headline: str
    why: str
    advice: str
    caution: str


def bed_words(
    place: PlaceFact, evidence: BedEvidence, verdict: Verdict, settings: Mapping[str, Any]
) -> BedWords:
    """Return the words for a bed."""
    return BedWords(
        headline=f"{place.label}: {_verdict(evidence, verdict)}: {_found(evidence)}.",
        why=sentences(
            _traps(evidence, settings),
            _cores(evidence),
            _not_counted(evidence),
            _more(evidence, verdict),
            since_grass(place),
            "Next to grass or a hedge, which wireworms come from."
            if {"grass_edge", "hedge"} & set(place.neighbours)
            else None,
        ),
        advice=_ADVICE[verdict],
        caution=sentences(
            "Nothing found is not nothing there: it only bounds how many there may be."
            if not _any(evidence)
            else None,
            "No published figure turns a catch into damage on a small plot: rank beds by the upper limit. Traps in "
            "one spot catch fewer each time, and catches fall once other roots are near.",
        ),
    )


def since_grass(place: PlaceFact) -> str:
    """Return what the year out of grass has to do with it; empty when it is not known."""
    if place.broken_year is None:
        return ""
    return f"It was broken from grass in {place.broken_year}; larvae live four to five years in the soil."


def _any(evidence: BedEvidence) -> bool:
    traps = evidence.traps
    return bool((traps and traps.found) or evidence.found_anyway or any(one.found for one in evidence.cores))


def _verdict(evidence: BedEvidence, verdict: Verdict) -> str:
    if verdict == "do_not":
        return "do not plant potatoes or carrots"
    if verdict == "earlies_only":
        return "early potatoes only, no maincrop and no carrots"
    if verdict == "wait":
        return "wait before you plant potatoes or carrots"
    return "potatoes may be planted, at a known risk"


def _found(evidence: BedEvidence) -> str:
    traps = evidence.traps
    if traps is not None and traps.found:
        rate = traps.rate
        return (
            f"{amount(rate.per_trap)} wireworms a trap (95 % interval "
            f"{span(rate.low_per_trap, rate.high_per_trap)}) in {times(traps.n, 'valid trap')}"
        )
    cores = next((one for one in evidence.cores if one.found), None)
    if cores is not None:
        return f"{times(cores.found, 'wireworm')} in {times(cores.n, 'core')}"
    if evidence.found_anyway:
        return f"{times(evidence.found_anyway, 'wireworm')} in traps that do not count"
    if traps is not None:
        return (
            f"none in {times(traps.n, 'valid trap')}, which up to {amount(traps.rate.high_per_trap)} a trap "
            "would agree with"
        )
    n = sum(one.n for one in evidence.cores)
    return f"none in {times(n, 'core')}, which is no sign of a low number"


def _traps(evidence: BedEvidence, settings: Mapping[str, Any]) -> str | None:
    traps = evidence.traps
    if traps is None:
        return None
    if traps.found == 0:
        return (
            f"Where {amount(settings['plant_per_trap'])} a trap are usual, {times(traps.n, 'trap')} would find none "
            f"with a chance of {percent(traps.p_miss)} (clumped larvae)."
        )
    return (
        f"{times(traps.found, 'wireworm')} in {times(traps.n, 'valid trap')} of this year and the last. A rule of "
        f"thumb makes that {_thousands(traps.rate.per_ha)} a hectare (common practice, no source)."
    )


def _cores(evidence: BedEvidence) -> str | None:
    said = []
    for one in evidence.cores:
        rate = one.rate
        if one.found:
            said.append(
                f"{times(one.n, 'soil core')}: {_thousands(rate.per_ha)} a hectare "
                f"({_thousands(rate.low_per_ha)} to {_thousands(rate.high_per_ha)})."
            )
        else:
            said.append(
                f"{times(one.n, 'soil core')} with none: up to {_thousands(rate.upper_one_sided_per_ha)} a hectare "
                f"would agree with that; at 61,673 a hectare they would miss all with a chance of "
                f"{percent(one.p_miss)}."
            )
    return " ".join(said) or None


def _not_counted(evidence: BedEvidence) -> str | None:
    if not evidence.not_counted:
        return None
    had = f", with {times(evidence.found_anyway, 'wireworm')} in them" if evidence.found_anyway else ""
    return f"{times(evidence.not_counted, 'trap')} could not be counted (cold, too short or too long){had}."


def _more(evidence: BedEvidence, verdict: Verdict) -> str | None:
    if verdict != "wait" or not evidence.more_traps:
        return None
    return f"{times(evidence.more_traps, 'more valid trap')} with none would settle it."


def _thousands(per_ha: float) -> str:
    return f"{round(per_ha, -3):,.0f}"
