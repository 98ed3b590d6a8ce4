"""The words that go with a watched series: what was done, after whom, and where to believe it less."""

from __future__ import annotations

from collections.abc import Sequence

from underboard.core.agronomy.surge.boards import ENOUGH, FIRST
from underboard.core.agronomy.surge.ears import C3_LIMIT
from underboard.core.agronomy.surge.point import Point

SOURCES = {
    "ears": "Hutwagner et al. 2003, J. Urban Health 80 (Suppl. 1):i89; Fricker, Hegler & Dunfee 2008, Stat. Med. "
    "27:3407",
    "cusum": "Page 1954, Biometrika 41:100; Lucas 1985, Technometrics 27:129",
    "farrington": "Farrington, Andrews, Beale & Catchpole 1996, J. R. Stat. Soc. A 159:547",
    "boards": "our own, judged by simulation (HONESTY.md); gamma prior after Clayton & Kaldor 1987, Biometrics 43:671",
}
METHOD_WORDS = {
    "ears_c1": "EARS C1: mean and standard deviation of the counts right before",
    "ears_c2": "EARS C2: the same with the two newest left out",
    "ears_c3": f"EARS C3: sum over three of max(0, C2 - 1), alarm above {C3_LIMIT:g}",
    "cusum": "CUSUM: sum of what exceeds k, alarm at h",
    "farrington": "Farrington 1996: quasi-Poisson with reweighting, 2/3-power limit",
    "boards": "each board against itself: gamma-Poisson predictive limit for the newest one, two and three rounds",
}


def published_cautions(method: str, points: Sequence[Point]) -> tuple[str, ...]:
    """Where a published method should be believed less on slug boards."""
    said = []
    if method != "cusum" and any(point.score is None for point in points):
        said.append(
            "Some baselines did not vary at all, so their score is empty and any rise is an alarm; set min_sd."
        )
    if method.startswith("ears") or method == "cusum":
        said.append(
            "The method was made for counts of a wide area; slug boards clump, and then false alarms are "
            "commoner than planned."
        )
    return tuple(said)


def board_words(n_points: int, surveyed: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Why boards cannot be judged, and the cautions that go with it when they are."""
    cautions = ["More than usual for this plot: it says nothing of a damage threshold."]
    if n_points == 0:
        return (
            (f"There must be {FIRST} earlier rounds; {surveyed} have counts, the newest included.",),
            tuple(cautions),
        )
    if surveyed <= ENOUGH:
        cautions.append(
            f"Only {surveyed - 1} earlier rounds: the limit is rough, and rises below three times the usual may "
            "pass unseen."
        )
    return (), tuple(cautions)
