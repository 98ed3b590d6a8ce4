"""The words of a surge: how many, how unusual, what else was going on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from underboard.core.agronomy.surge.boards import ENOUGH
from underboard.core.agronomy.surge.times_usual import TimesUsual
from underboard.core.warnings.facts import Facts, RoundFact, TreatmentFact
from underboard.core.warnings.wording import amount, day_words, listed, sentences, span, times

#: A treatment this recent belongs into the picture: nematodes last about six weeks (UK suppliers' leaflets).
RECENT: Final = timedelta(days=42)
#: A night so much warmer than the usual night of a round is worth a word, °C (common practice, no source).
WARMER_C: Final = 3.0
_TREATMENTS: Final = {
    "nematodes": "nematodes",
    "brew": "a home brew",
    "mulch": "mulch",
    "cultivation": "cultivation",
    "cover": "a cover",
    "hand_collection": "hand collection",
    "pellets": "pellets",
    "watering": "watering",
    "other": "a treatment",
}


@dataclass(frozen=True)
class Risen:
    """A scope (the plot, or a place) with more than usual.

    `newest` is the round of the newest alarm, `together` how many rounds up to it stand out most, `first` the
    round of the oldest alarm that is not over.
    """

    scope: str
    boards: tuple[str, ...]
    newest: RoundFact
    together: int
    first: RoundFact
    found: TimesUsual
    limit: float
    lasting: bool
    disputed: int


@dataclass(frozen=True)
class Words:
    """What a person reads."""

    headline: str
    why: str
    advice: str
    caution: str


def due_words(facts: Facts, risen: Risen, where: str, begun: date) -> Words:
    """Return the words of a warning for the plot or a part of it."""
    newest, found = risen.newest, risen.found
    on = day_words(newest.day)
    rounds = "" if risen.together == 1 else f" in the {risen.together} rounds up to then"
    count, expected = found.count or 0, found.expected or 0.0
    much = f"{amount(found.times or 0)} times the usual (95 % interval {span(found.low, found.high)})"
    return Words(
        headline=f"More slugs than usual on {where} on {on}: {count}{rounds}, {much}.",
        why=sentences(
            f"The boards turned{rounds} usually have {amount(expected)} together, learned from "
            f"{times(found.n_rounds, 'earlier valid round')}.",
            f"With nothing changed so many would come up {_odds(found.p_so_many)}.",
            f"It has lasted since {day_words(begun)}." if begun < newest.day else None,
            None
            if risen.lasting
            else "The newest round was quiet again; a second quiet one ends this warning.",
            _disputed(risen.disputed),
            weather_words(facts, newest),
            treatment_words(facts, newest.day),
        ),
        advice=(
            "Growers commonly hand-pick at dusk for some nights, hold back planting out seedlings, guard young "
            "plants, and water in nematodes if the soil is right. Turn the boards again on the next moist morning."
        ),
        caution=sentences(
            "More than usual for these boards; it is no damage threshold.",
            f"Only {found.n_rounds} earlier rounds: what is usual is known roughly."
            if found.n_rounds < ENOUGH
            else None,
            "Gloves, and wash hands: slugs and slime can carry lungworm. Keep children and dogs away from pellets; "
            "follow the label.",
        ),
    )


def part_words(label: str, found: TimesUsual) -> str:
    """Return the sentence that names a part inside the plot's warning."""
    return f"{label} stands out: {amount(found.times or 0)} times its usual ({span(found.low, found.high)})."


def weather_words(facts: Facts, newest: RoundFact) -> str | None:
    """Return what surface and night may have to do with it; None when nothing stands out."""
    lows = sorted(
        one.night_low_c
        for one in facts.rounds
        if one.valid and one.at < newest.at and one.night_low_c is not None
    )
    low = newest.night_low_c
    usual = lows[len(lows) // 2] if lows else None
    warm = low is not None and usual is not None and low - usual >= WARMER_C
    if warm:
        night = f"the night was warm (lowest {low:.0f} °C, on the usual round {usual:.0f} °C)"
    else:
        night = (
            f"the night was no warmer than usual (lowest {low:.0f} °C)" if low is not None and usual else ""
        )
    surface = f"the surface was {newest.surface}" if newest.surface else ""
    told = [one for one in (surface, night) if one]
    if not told:
        return None
    said = f"{' and '.join(told)}."
    if warm or newest.surface == "wet":
        said += " Wet, warm nights bring up more of the slugs that are there anyway."
    return said[0].upper() + said[1:]


def treatment_words(facts: Facts, on: date) -> str | None:
    """Return what was done in the six weeks before; None when nothing was."""
    recent = [one for one in facts.treatments if timedelta(0) <= on - one.day <= RECENT]
    if not recent:
        return "Nothing was done against slugs in the six weeks before, as far as it was written down."
    return "In the six weeks before: " + "; ".join(_treatment(facts, recent)) + "."


def _treatment(facts: Facts, recent: Sequence[TreatmentFact]) -> list[str]:
    return [
        f"{_TREATMENTS.get(one.kind, one.kind)} on {day_words(one.day)}"
        + (f" at {listed([facts.label(place) for place in one.place_ids])}" if one.place_ids else "")
        for one in recent[-4:]
    ]


def _disputed(n: int) -> str | None:
    if not n:
        return None
    have = "has two numbers" if n == 1 else "have two numbers each"
    return f"{times(n, 'board')} {have} and nobody has said which stands; the higher one is used here."


def _odds(p: float | None) -> str:
    if p is None or p >= 0.1:
        return "about one round in ten, or more often"
    if p < 0.001:
        return "less than once in a thousand rounds"
    one_in = round(1 / p)
    step = 10 if one_in >= 20 else 1
    return f"about once in {round(one_in / step) * step} rounds"
