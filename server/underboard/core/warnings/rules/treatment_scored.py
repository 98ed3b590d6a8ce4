"""Did the treatment work?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final

from underboard.core.agronomy.nematodes.efficacy_window import FIRST_DAY, LAST_DAY
from underboard.core.warnings.boards_seen import valid_rounds
from underboard.core.warnings.drench_effect import BEFORE_DAYS, Effect, effect_of
from underboard.core.warnings.facts import Facts, RoundFact, TreatmentFact
from underboard.core.warnings.plot_time import DAY, at_clock, end_of, today_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words, listed, sentences, times

NAME = "treatment_scored"
#: Treatments that are meant to leave fewer slugs under the boards.
KINDS: Final = ("nematodes", "brew", "pellets", "mulch", "cultivation", "hand_collection", "cover", "other")
_CALLED: Final = {
    "nematodes": "the nematodes",
    "brew": "the brew",
    "pellets": "the pellets",
    "hand_collection": "hand collection",
    "other": "the treatment",
}
#: Rounds looked through: 28 days before and 42 after, and the days the answer stays.
MOST_ROUNDS: Final = 160


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer each treatment of the last weeks that has an untreated place to be held against."""
    today = today_of(facts, now)
    stays = LAST_DAY + settings["days_shown"]
    recent = [
        one
        for one in facts.treatments
        if one.kind in KINDS and one.at <= now and 0 <= (today - one.day).days <= stays
    ]
    if not recent:
        yield Held(rule=NAME, why_not="No treatment of the last weeks is to be scored.")
        return
    rounds = valid_rounds(facts, now, MOST_ROUNDS)
    for one in recent:
        yield _answer(facts, one, rounds, settings, (today - one.day).days)


def _answer(
    facts: Facts,
    one: TreatmentFact,
    rounds: Iterable[RoundFact],
    settings: Mapping[str, Any],
    age: int,
) -> Due | Held:
    what = f"{_name(one).capitalize()} of {day_words(one.day)}"
    if not one.control_place_ids:
        why = f"{what}: no untreated place was named, so nothing can be told from what the season did."
        return Held(rule=NAME, key=one.id, why_not=why)
    if age < FIRST_DAY:
        first = day_words(one.day + FIRST_DAY * DAY)
        return Held(
            rule=NAME,
            key=one.id,
            why_not=f"{what}: too early; slugs die over weeks, counts tell from {first}.",
        )
    found = effect_of(facts, one, list(rounds))
    need = settings["rounds_after"]
    if not found.before:
        why = f"{what}: no valid round of the {BEFORE_DAYS} days before had boards in treated and untreated places."
        return Held(rule=NAME, key=one.id, why_not=why)
    if len(found.after) < need:
        last = day_words(one.day + LAST_DAY * DAY)
        when = f"{need} are needed by {last}" if age <= LAST_DAY else f"{need} were needed by {last}"
        why = f"{what}: {times(len(found.after), 'valid round')} after it from day {FIRST_DAY} on; {when}."
        return Held(rule=NAME, key=one.id, why_not=why)
    if found.ratio is None or found.low is None or found.high is None:
        why = f"{what}: {' '.join(found.why_not) or 'the counts are too small to say.'}"
        return Held(rule=NAME, key=one.id, why_not=why)
    return _due(facts, one, found, (found.ratio, found.low, found.high), settings, age > LAST_DAY)


def _due(
    facts: Facts,
    one: TreatmentFact,
    found: Effect,
    ratios: tuple[float, float, float],
    settings: Mapping[str, Any],
    final: bool,
) -> Due:
    ratio, low, high = ratios
    verdict = "worked" if high < 1 else "more_after" if low > 1 else "no_evidence"
    said = effect_words(low, high)
    end = {
        "worked": "it worked, as far as these boards can tell" if final else "it looks as if it worked",
        "no_evidence": "no evidence that it worked",
        "more_after": "there were more where it was done",
    }[verdict]
    last = one.day + LAST_DAY * DAY
    so_far = "" if final else " so far"
    treated = listed(sorted(facts.label(place) for place in one.place_ids))
    control = listed(sorted(facts.label(place) for place in one.control_place_ids))
    return Due(
        rule=NAME,
        key=one.id,
        window_start=at_clock(facts, one.day + FIRST_DAY * DAY),
        window_end=end_of(facts, one.day + (LAST_DAY + settings["days_shown"]) * DAY),
        severity="Minor",
        urgency="Past",
        certainty="Likely" if verdict == "worked" else "Possible",
        headline=f"Boards with {_name(one)} of {day_words(one.day)} had {said}{so_far} (95 % interval): {end}.",
        why=sentences(
            f"{treated} against {control}, {times(len(found.before), 'valid round')} before and "
            f"{times(len(found.after), 'round')} from day {FIRST_DAY} to day {LAST_DAY} after.",
            _totals(found),
            f"Best single figure: {_single(ratio)}.",
            _meanwhile(facts, one),
            None
            if final
            else f"Counts of valid rounds until {day_words(last)} still come in, and the answer may change with each.",
        ),
        advice=_advice(verdict),
        caution=sentences(
            "One treated and one untreated bed is one comparison, however many boards lie in them: beds differ by "
            "themselves.",
            "The counts are few." if _smallest(found) < 10 else None,
            "Slugs die underground: finding no bodies is no sign that it failed.",
        ),
        numbers={
            "treatment_id": one.id,
            "verdict": verdict,
            "final": final,
            "ratio": ratio,
            "ratio_low": low,
            "ratio_high": high,
            "percent_fewer": 100 * (1 - ratio),
            "percent_fewer_low": 100 * (1 - high),
            "percent_fewer_high": 100 * (1 - low),
            "rounds_before": len(found.before),
            "rounds_after": len(found.after),
            "spread": found.spread,
        },
        place_ids=one.place_ids,
        # Looking again after each round finds something by chance sooner or later: only the last look sounds.
        loud=final and verdict != "no_evidence",
    )


def effect_words(low: float, high: float) -> str:
    """Return an interval of the ratio as "20 to 70 % fewer slugs"."""
    few, many = round(100 * (1 - high)), round(100 * (1 - low))
    if high < 1:
        return f"{max(few, 0)} to {many} % fewer slugs"
    more = round(100 * (high - 1))
    if low > 1:
        return f"{round(100 * (low - 1))} to {more} % more slugs"
    top = f"{more} % more" if more < 1000 else "many times as many"
    return f"between {many} % fewer and {top} slugs"


def _name(one: TreatmentFact) -> str:
    return _CALLED.get(one.kind, f"the {one.kind}")


def _meanwhile(facts: Facts, one: TreatmentFact) -> str | None:
    """What else was done at the treated or untreated places in the same weeks; None when nothing was."""
    places = {*one.place_ids, *one.control_place_ids}
    others = [
        f"{_name(other)} on {day_words(other.day)}"
        for other in facts.treatments
        if other.id != one.id
        and places & set(other.place_ids)
        and -BEFORE_DAYS <= (other.day - one.day).days <= LAST_DAY
    ]
    return f"Also done there in these weeks, and mixed up in it: {listed(others)}." if others else None


def _single(ratio: float) -> str:
    percent = round(100 * abs(1 - ratio))
    return f"{percent} % {'fewer' if ratio < 1 else 'more'}"


def _totals(found: Effect) -> str:
    parts = []
    for name, cells in (("before", found.before), ("after", found.after)):
        treated = sum(cell.treated for cell in cells), sum(cell.treated_boards for cell in cells)
        control = sum(cell.control for cell in cells), sum(cell.control_boards for cell in cells)
        parts.append(
            f"{name} {treated[0]} slugs under {treated[1]} treated boards turned, {control[0]} under {control[1]} "
            "untreated"
        )
    return f"{'; '.join(parts)}.".capitalize()


def _smallest(found: Effect) -> int:
    sums = [
        (sum(cell.treated for cell in cells), sum(cell.control for cell in cells))
        for cells in (found.before, found.after)
    ]
    return min(min(pair) for pair in sums)


def _advice(verdict: str) -> str:
    if verdict == "worked":
        return "Commonly: repeat after six weeks while the soil is warm and moist, and keep the untreated places."
    return (
        "Commonly: look at how it was put on (soil warmth, moisture, dose), keep the untreated places, and compare "
        "again with more boards before giving it up or paying for it again."
    )


RULE = Rule(
    name=NAME,
    title="Treatment scored",
    question="Did the treatment work?",
    group="work",
    source="Henderson & Tilton 1955, J. Econ. Entomol. 48:157; McCullagh & Nelder 1989; window: suppliers' leaflets",
    run=run,
    settings=(
        Setting(
            name="rounds_after",
            kind="whole",
            default=3,
            unit="rounds",
            low=1,
            high=20,
            doc="Valid rounds from day 7 to 42 that are needed before it is scored (common practice, no source).",
        ),
        Setting(
            name="days_shown",
            kind="whole",
            default=14,
            unit="days",
            low=0,
            high=60,
            doc="How long after day 42 the answer stays (common practice, no source).",
        ),
    ),
)
