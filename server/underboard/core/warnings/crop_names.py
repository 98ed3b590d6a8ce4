"""Crops in a person's own words: which ones were chosen, and what was done with them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from datetime import date

from underboard.core.warnings.facts import CropFact, Facts


def chosen_crops(text: str, known: Collection[str]) -> tuple[list[str], list[str]]:
    """Return the known crops that a list with commas names, each once, and the words that name none."""
    found: list[str] = []
    strange: list[str] = []
    for part in text.split(","):
        word = " ".join(part.lower().split())
        if not word:
            continue
        name = next((one for one in _singulars(word) if one in known), None)
        if name is None:
            strange.append(word)
        elif name not in found:
            found.append(name)
    return found, strange


def is_crop(crop: CropFact, name: str) -> bool:
    """Whether a crop written down in a person's words is one of the name."""
    words = re.findall(r"[a-z]+", crop.kind.lower())
    return any(name in _singulars(word) for word in words)


def done_this_year(
    facts: Facts, name: str, what: Iterable[str], today: date, covered: bool | None = None
) -> date | None:
    """Return the first day of this year on which such a crop was sown, planted …; None when not yet.

    `covered`: only what went under cover, or only what did not; None for either.
    """
    wanted = set(what)
    days = [
        on
        for crop in facts.crops
        if is_crop(crop, name)
        for on, did, _, where in crop.events
        if did in wanted
        and on.year == today.year
        and on <= today
        and covered in (None, _covered(facts, where or crop.place_id))
    ]
    return min(days, default=None)


def _covered(facts: Facts, place_id: str | None) -> bool:
    place = facts.places.get(place_id or "")
    return place is not None and place.covered


def _singulars(word: str) -> tuple[str, ...]:
    return (word, word.removesuffix("s"), word.removesuffix("es"))
