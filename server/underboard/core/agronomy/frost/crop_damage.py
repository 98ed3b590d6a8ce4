"""At what air temperature does frost start to hurt a crop?

A person writes what crop it is in words of their own, so names are matched word by word. What is not in the
table has no damage temperature: then nothing is guessed, and the answer says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

#: Damaging temperature ranges of temperate crops, Table 2 of the review at PubMed Central PMC10202904.
RANGES: Final = "PMC10202904, Table 2 (range; its warm end is where harm may start)"
#: Air above freezing already chills crops of tropical origin; freezing kills them. Snyder & de Melo-Abreu
#: (2005), Frost protection, vol. 1, ch. 4, FAO.
TROPICAL: Final = "Snyder & de Melo-Abreu 2005, Frost protection, FAO, ch. 4 (tropical origin: no frost)"
#: Hardiness classes of United States extension services (University of Illinois VC 14; light frost 28 to
#: 32 °F, hard frost below): half-hardy crops bear a light frost, hardy ones 25 °F.
HALF_HARDY: Final = "extension lists (Illinois VC 14): bears a light frost, to 28 °F"
HARDY: Final = "extension lists (Illinois VC 14): bears a hard frost, to 25 °F"

LIGHT_FROST_C: Final = (28 - 32) / 1.8
HARD_FROST_C: Final = (25 - 32) / 1.8

_STAGES: Final = {
    "blossom": ("flower", "flowering", "blossom", "bloom", "bud"),
    "head": ("curd", "spear", "head", "heading", "floret"),
}


class Harm(NamedTuple):
    """Where harm starts and where it is certain to be bad [°C], and who says so."""

    warm_c: float
    cold_c: float
    source: str


class Crop(NamedTuple):
    """One row: names in the singular, harm by stage ("" for any), whether it is raised indoors first."""

    name: str
    aliases: tuple[str, ...]
    harm: dict[str, Harm]
    raised_indoors: bool = False


def _one(name: str, harm: Harm, *aliases: str, indoors: bool = False) -> Crop:
    return Crop(name, (name, *aliases), {"": harm}, indoors)


_CHILL = Harm(0.0, 0.0, RANGES)
_TROPIC = Harm(0.0, 0.0, TROPICAL)
_VERY = Harm(0.0, -2.0, RANGES)
_SENSITIVE = Harm(-2.0, -4.0, RANGES)
_MODERATE = Harm(-4.0, -7.0, RANGES)
_REASONABLE = Harm(-7.0, -10.0, RANGES)
_HALF = Harm(LIGHT_FROST_C, LIGHT_FROST_C, HALF_HARDY)
_HARD = Harm(HARD_FROST_C, HARD_FROST_C, HARDY)

#: Every crop that is known, most tender first.
CROPS: Final[tuple[Crop, ...]] = (
    _one("tomato", _CHILL, indoors=True),
    _one("cucumber", _CHILL, "gherkin", indoors=True),
    _one("pepper", _TROPIC, "chilli", "chili", "sweet pepper", "capsicum", indoors=True),
    _one("aubergine", _TROPIC, "eggplant", indoors=True),
    _one("courgette", _TROPIC, "zucchini", "marrow", indoors=True),
    _one("squash", _TROPIC, "pumpkin", "butternut", "gourd", indoors=True),
    _one("basil", _TROPIC, indoors=True),
    _one("sweet potato", _TROPIC, indoors=True),
    _one("okra", _TROPIC, indoors=True),
    _one("potato", _VERY, "early potato", "spud"),
    _one("bean", _VERY, "french bean", "runner bean", "dwarf bean", "green bean", "climbing bean"),
    _one("maize", _VERY, "sweetcorn", "sweet corn", "corn"),
    _one("melon", _VERY, "watermelon", indoors=True),
    Crop("strawberry", ("strawberry",), {"": _MODERATE, "blossom": _SENSITIVE}),
    Crop(
        "fruit blossom",
        ("apple", "pear", "plum", "cherry", "peach"),
        {"": _REASONABLE, "blossom": _SENSITIVE},
    ),
    _one("lettuce", _SENSITIVE, "salad", indoors=True),
    _one("pea", _SENSITIVE, "mangetout", "sugar snap"),
    _one("asparagus", _SENSITIVE),
    _one("chard", _HALF, "swiss chard", "leaf beet"),
    _one("celery", _HALF, "celeriac", indoors=True),
    _one("endive", _HALF, "chicory", "radicchio", indoors=True),
    _one("chinese cabbage", _HALF, "pak choi", "bok choy", "pak choy", indoors=True),
    _one("fennel", _HALF, "florence fennel"),
    _one("radish", _HARD, "mooli"),
    _one("turnip", _HARD),
    _one("leek", _HARD, indoors=True),
    _one("brussels sprout", _HARD, "brussel sprout", "sprout", indoors=True),
    _one("kohlrabi", _HARD, indoors=True),
    _one("parsley", _HARD, indoors=True),
    _one("mustard", _HARD, "rocket", "mizuna"),
    Crop("cauliflower", ("cauliflower",), {"": _MODERATE, "head": _SENSITIVE}, True),
    Crop(
        "broccoli",
        ("broccoli", "calabrese", "sprouting broccoli"),
        {"": _MODERATE, "head": _SENSITIVE},
        True,
    ),
    _one("cabbage", _MODERATE, "white cabbage", "spring cabbage", indoors=True),
    _one("kale", _MODERATE, "cavolo nero", "collard", indoors=True),
    _one("beetroot", _MODERATE, "beet", "fodder beet", "sugar beet"),
    _one("onion", _MODERATE, "shallot", "garlic", "spring onion"),
    _one("swede", _MODERATE, "rutabaga"),
    _one("carrot", _MODERATE),
    _one("parsnip", _MODERATE),
    _one("winter lettuce", _MODERATE, indoors=True),
    _one("savoy", _REASONABLE, "savoy cabbage", indoors=True),
    _one("spinach", _REASONABLE),
    _one("broad bean", _REASONABLE, "field bean", "winter bean", "fava bean"),
)


@dataclass(frozen=True)
class CropDamage:
    """Where frost starts to hurt a crop.

    Attributes
    ----------
    crop
        The row it was matched with; None when none fits.
    critical_c
        Air temperature below which harm may start [°C]; None when the crop is not known.
    raised_indoors
        Usually sown under glass and planted out later.
    stage
        The stage of the row that was used, "" for any.
    words
        One sentence: what the figure rests on, or why there is none.
    """

    crop: str | None
    critical_c: float | None
    raised_indoors: bool
    stage: str
    source: str
    words: str


@lru_cache(maxsize=4096)
def crop_damage(kind: str, stage: str | None = None, hardened: bool = False) -> CropDamage:
    """Return where frost starts to hurt a crop.

    Parameters
    ----------
    kind
        The crop in the person's own words, such as "Second early potatoes".
    stage
        The growth stage in their words; blossom and heads of some crops are more tender than leaves.
    hardened
        It was hardened off. The FAO book says that hardening shifts all figures and gives no number, so a
        hardened crop is taken to bear the middle of its published range (ours).

    Returns
    -------
    CropDamage

    Notes
    -----
    The longest name that occurs in `kind` word for word wins; of two as long the more tender.

    References
    ----------
    Table 2 of PubMed Central PMC10202904; Snyder, R. L. & de Melo-Abreu, J. P. (2005), Frost protection:
    fundamentals, practice and economics, vol. 1, ch. 4, FAO; University of Illinois, VC 14.

    Examples
    --------
    >>> crop_damage("Second early potatoes").critical_c
    0.0
    >>> crop_damage("Broad beans").critical_c
    -7.0
    >>> crop_damage("Oca").critical_c is None
    True
    """
    row = _row(words_of(kind))
    if row is None:
        said = f"No damage temperature is known here for {kind.strip()[:60] or 'a crop with no name'!r}."
        return CropDamage(None, None, False, "", "", said)
    found = _stage(stage or "") if stage else ""
    used = found if found in row.harm else ""
    harm = row.harm[used]
    critical = (harm.warm_c + harm.cold_c) / 2 if hardened else harm.warm_c
    return CropDamage(
        row.name, critical, row.raised_indoors, used, harm.source, _words(row, used, critical, hardened)
    )


def _words(row: Crop, stage: str, critical_c: float, hardened: bool) -> str:
    what = f"{row.name} in {stage}" if stage else row.name
    hard = ", hardened off" if hardened else ""
    return f"{what[0].upper()}{what[1:]}{hard}: harm may start below {_degrees(critical_c)}."


def _degrees(celsius: float) -> str:
    return f"{celsius:.1f} °C".replace("-", "−")


def _row(words: list[str]) -> Crop | None:
    best: tuple[int, int, Crop] | None = None
    for row in CROPS:
        for alias in row.aliases:
            wanted = words_of(alias)
            if _occurs(wanted, words) and (best is None or (len(wanted), len(alias)) > best[:2]):
                best = (len(wanted), len(alias), row)
    return None if best is None else best[2]


def _occurs(wanted: list[str], words: list[str]) -> bool:
    return any(words[i : i + len(wanted)] == wanted for i in range(len(words) - len(wanted) + 1))


def _stage(text: str) -> str:
    words = words_of(text)
    return next((name for name, known in _STAGES.items() if any(word in known for word in words)), "")


def words_of(text: str) -> list[str]:
    """Return the words of a name in lower case and in the singular, as far as endings tell."""
    return [_singular(word) for word in re.findall(r"[a-z]+", text.lower())]


def _singular(word: str) -> str:
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "shes", "ches")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us")) and len(word) > 3:
        return word[:-1]
    return word
