"""Are there more than usual?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.agronomy.surge.boards import USUAL_ALPHA, watch_boards
from underboard.core.agronomy.surge.cusum import cusum, standard
from underboard.core.agronomy.surge.ears import ears
from underboard.core.agronomy.surge.farrington import farrington
from underboard.core.agronomy.surge.point import Point
from underboard.core.agronomy.surge.surge_words import METHOD_WORDS, SOURCES, board_words, published_cautions
from underboard.core.errors import InputFault

METHODS = ("ears_c1", "ears_c2", "ears_c3", "cusum", "farrington", "boards")
USUAL_PUBLISHED_ALPHA = 0.001


@dataclass(frozen=True)
class Surge:
    """A watched series.

    Attributes
    ----------
    points
        One for each surveyed place that the method can judge.
    n_alarms
        How many of them raise the alarm.
    """

    points: tuple[Point, ...]
    n_alarms: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str
    source: str


def surge(
    method: str,
    counts: Sequence[int | None] | None = None,
    rounds: Sequence[Sequence[int | None]] | None = None,
    alpha: float | None = None,
    baseline: int = 7,
    min_sd: float = 0.0,
    k: float | None = None,
    h: float | None = None,
    reset: bool = False,
    head_start: float = 0.0,
    standardise: bool | Mapping[str, Any] = False,
    mean: float | None = None,
    sd: float | None = None,
    variance: str | None = None,
    b: int = 5,
    w: int = 3,
    frequency: int = 52,
) -> Surge:
    """Watch a series of counts for more than usual.

    Parameters
    ----------
    method
        ``ears_c1``, ``ears_c2``, ``ears_c3``, ``cusum``, ``farrington``, or our own ``boards``.
    counts
        The series, None where not surveyed (all methods but boards).
    rounds
        Counts of each round, boards always in the same order, None where not turned or spoiled (boards).
    alpha
        Chance of a false alarm aimed at; 0.001, and 0.0115 for boards. Farrington's is two-sided.
    baseline, min_sd
        Counts in the baseline and floor of the standard deviation (EARS).
    k, h, reset, head_start
        Reference value, threshold, whether to begin anew after an alarm, where the sum begins (CUSUM).
    standardise, mean, sd, variance
        CUSUM on (count - mean)/sd: an object with `mean` and `sd`, or `mean` and ``variance: "poisson"``; or
        true with these beside it.
    b, w, frequency
        Years back, half-width of the window, units in a year (Farrington).

    Returns
    -------
    Surge

    Raises
    ------
    InputFault
        When what the method needs is missing or cannot be, or rounds are of unlike length.

    Notes
    -----
    - EARS C1 and C2: limit = mean + z sd of the `baseline` counts before (C2 leaves out the two newest), z the
      normal quantile of `alpha`. C3: sum over three of ``max(0, C2 - 1)``, alarm above 2.
    - CUSUM: ``S = max(0, S + count - k)``, alarm when ``S ≥ h``. For a rise from m0 to m1,
      ``k = (m1 - m0)/ln(m1/m0)``.
    - Farrington: quasi-Poisson regression on the same weeks of `b` earlier years, past outbreaks weighted down;
      limit ``m (1 + (2/3) z sqrt(phi m + var)/m)^1.5``.
    - Boards (our own): each board's usual count, its scatter and the swing that all boards share are learned from
      the rounds before. The total of the newest one, two and three rounds is held against a gamma law with mean E
      and variance ``E + scatter * sum of squares + swing * E²``, widened by what the learning leaves unsure.
      Earlier surges count for less.

    References
    ----------
    Hutwagner, L. et al. (2003), J. Urban Health 80 (Suppl. 1), i89-i96; Fricker, R. D., Hegler, B. L. & Dunfee,
    D. A. (2008), Stat. Med. 27, 3407-3429. Page, E. S. (1954), Biometrika 41, 100-115; Lucas, J. M. (1985),
    Technometrics 27, 129-144. Farrington, C. P. et al. (1996), J. R. Stat. Soc. A 159, 547-563. Boards: our own,
    judged by simulation in HONESTY.md; gamma prior after Clayton, D. & Kaldor, J. (1987), Biometrics 43, 671-681.

    Examples
    --------
    >>> answer = surge("ears_c1", counts=[3, 5, 2, 4, 6, 3, 5, 9])
    >>> round(answer.points[0].limit, 4), answer.points[0].alarm
    (8.3702, True)
    """
    if method == "boards":
        return _boards(rounds, alpha)
    if counts is None:
        raise InputFault("/counts", f'Method "{method}" needs "counts".')
    if method == "cusum":
        centre, spread = standard(standardise, mean, sd, variance)
        if k is None or h is None:
            missing = "k" if k is None else "h"
            raise InputFault(f"/{missing}", f'Method "cusum" needs "{missing}".')
        points = cusum(counts, k, h, reset, head_start, centre, spread)
        source, need = "cusum", 1
    elif method == "farrington":
        if 2 * w + 1 > frequency:
            raise InputFault(
                "/w", f"A window of {w} either side does not fit into a year of {frequency} units."
            )
        points = farrington(counts, b, w, frequency, USUAL_PUBLISHED_ALPHA if alpha is None else alpha)
        source, need = "farrington", b * frequency + w + 1
    else:
        points = ears(method, counts, baseline, USUAL_PUBLISHED_ALPHA if alpha is None else alpha, min_sd)
        source, need = "ears", baseline + {"ears_c1": 1, "ears_c2": 3, "ears_c3": 5}[method]
    why_not = (
        () if points else (f"The method needs at least {need} surveyed counts before it can judge one.",)
    )
    return Surge(
        tuple(points),
        sum(point.alarm for point in points),
        why_not,
        published_cautions(method, points),
        METHOD_WORDS[method],
        SOURCES[source],
    )


def _boards(rounds: Sequence[Sequence[int | None]] | None, alpha: float | None) -> Surge:
    if rounds is None:
        raise InputFault("/rounds", 'Method "boards" needs "rounds".')
    for i, row in enumerate(rounds):
        if len(row) != len(rounds[0]):
            said = (
                f"Every round needs one entry for each of the {len(rounds[0])} boards; here are {len(row)}."
            )
            raise InputFault(f"/rounds/{i}", said)
    if alpha is not None and alpha >= 0.5:
        raise InputFault(
            "/alpha", f"For boards a false alarm must be rarer than one in two; {alpha:g} is not."
        )
    points = watch_boards(rounds, USUAL_ALPHA if alpha is None else alpha)
    surveyed = sum(1 for row in rounds if any(count is not None for count in row))
    why_not, cautions = board_words(len(points), surveyed)
    return Surge(
        tuple(points),
        sum(point.alarm for point in points),
        why_not,
        cautions,
        METHOD_WORDS["boards"],
        SOURCES["boards"],
    )


_MEAN = Param("mean", "number", required=False, default=None, low=0, high=1e9, doc="Mean to standardise by.")
_SD = Param("sd", "number", required=False, default=None, low=1e-9, high=1e9, doc="SD to standardise by.")
_VARIANCE = Param(
    "variance",
    "choice",
    required=False,
    default=None,
    choices=("poisson",),
    doc="Take the root of the mean as the standard deviation.",
)

CALCULATION = Calculation(
    name="surge",
    question="Are there more than usual?",
    source="Hutwagner 2003, Page 1954, Lucas 1985, Farrington 1996; boards: our own",
    method="EARS C1 to C3, CUSUM, Farrington, or each board against itself (boards)",
    params=(
        Param("method", "choice", choices=METHODS, doc="How to watch."),
        Param(
            "counts",
            "counts_or_null",
            required=False,
            default=None,
            max_len=20_000,
            doc="The series, null where not surveyed (all methods but boards).",
        ),
        Param(
            "rounds",
            "count_lists_or_null",
            required=False,
            default=None,
            max_len=2_000,
            doc="Counts of each round, boards in one order, null where not turned or spoiled (boards).",
        ),
        Param(
            "alpha",
            "number",
            required=False,
            default=None,
            low=1e-9,
            high=1,
            high_open=True,
            doc=f"Chance of a false alarm aimed at: {USUAL_PUBLISHED_ALPHA}; for boards {USUAL_ALPHA}.",
        ),
        Param(
            "baseline",
            "integer",
            required=False,
            default=7,
            low=3,
            high=1000,
            doc="Counts looked back (EARS).",
        ),
        Param(
            "min_sd", "number", required=False, default=0.0, low=0, high=1e9, doc="Floor of the SD (EARS)."
        ),
        Param("k", "number", required=False, default=None, low=0, high=1e9, doc="Reference value (CUSUM)."),
        Param(
            "h",
            "number",
            required=False,
            default=None,
            low=0,
            high=1e12,
            low_open=True,
            doc="Threshold (CUSUM).",
        ),
        Param("reset", "boolean", required=False, default=False, doc="Begin anew after an alarm (CUSUM)."),
        Param(
            "head_start",
            "number",
            required=False,
            default=0.0,
            low=0,
            high=1e12,
            doc="Where the sum begins; h/2 is the fast initial response (CUSUM).",
        ),
        Param(
            "standardise",
            "object_or_boolean",
            required=False,
            default=False,
            fields=(_MEAN, _SD, _VARIANCE),
            doc="Standardise counts by a mean and sd, or by a mean with a Poisson variance (CUSUM).",
        ),
        _MEAN,
        _SD,
        _VARIANCE,
        Param(
            "b", "integer", required=False, default=5, low=1, high=50, doc="Years looked back (Farrington)."
        ),
        Param("w", "integer", required=False, default=3, low=0, high=200, doc="Half-width of the window."),
        Param("frequency", "integer", required=False, default=52, low=1, high=400, doc="Units in a year."),
    ),
    run=surge,
    example={
        "method": "boards",
        "rounds": [
            [2, 0, 5, 1],
            [1, 0, 6, None],
            [3, 1, 4, 0],
            [0, 0, 7, 2],
            [2, 1, 3, 1],
            [1, 0, 5, 0],
            [6, 3, 14, 4],
        ],
    },
    returns={
        "points": "for each place judged: i, count, expected, limit, score, alarm",
        "n_alarms": "how many raise the alarm",
    },
    rules=(
        "i counts from 0 in the series as given; places not surveyed get no point.",
        "An alarm is a count strictly above the limit; for CUSUM a sum that reaches h.",
        "For ears_c3 and cusum the limit is one for the score, not for the count.",
        "EARS: a baseline that does not vary, with no floor, has its mean as the limit.",
        "Farrington: no alarm with fewer than 5 counts in the last 4 units.",
        "boards: the total of the boards turned is judged against what those same boards usually have; rounds "
        "older than 40 are forgotten; earlier surges count for less.",
    ),
    needs_scipy=True,
)
