"""How good were the yes-or-no warnings?"""

from __future__ import annotations

from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param


@dataclass(frozen=True)
class Verification:
    """Scores of a two-by-two table; each is None where it is undefined.

    Attributes
    ----------
    n
        Forecasts.
    accuracy
        Share that was right [0 to 1]; says little of rare events.
    bias
        Warnings per event [0 and up].
    pod, far, pofd
        Share of events that were warned of; share of warnings that were false; share of quiet days that were
        warned of [0 to 1].
    csi, ets
        Hits among everything but quiet days; the same with chance taken off.
    peirce, hss
        Peirce (Hanssen-Kuipers) and Heidke skill scores [-1 to 1].
    odds_ratio, orss
        Odds of a hit against odds of a false alarm; as a skill score [-1 to 1].
    """

    n: int
    accuracy: float | None
    bias: float | None
    pod: float | None
    far: float | None
    pofd: float | None
    csi: float | None
    ets: float | None
    peirce: float | None
    hss: float | None
    odds_ratio: float | None
    orss: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def verify(hits: int, false_alarms: int, misses: int, correct_negatives: int) -> Verification:
    """Score warnings against what happened.

    Parameters
    ----------
    hits, false_alarms, misses, correct_negatives
        Warned and it came; warned and it did not; not warned and it came; neither [counts].

    Returns
    -------
    Verification

    Notes
    -----
    With a, b, c, d in the order of the parameters: accuracy (a+d)/n, bias (a+b)/(a+c), POD a/(a+c),
    FAR b/(a+b), POFD b/(b+d), CSI a/(a+b+c), ETS (a-r)/(a+b+c-r) with r = (a+b)(a+c)/n, Peirce POD - POFD,
    HSS 2(ad-bc)/((a+c)(c+d)+(a+b)(b+d)), odds ratio ad/bc, ORSS (ad-bc)/(ad+bc).

    References
    ----------
    Finley, J. P. (1884), Tornado predictions, Am. Meteorol. J. 1, 85-88 (the data); WWRP/WGNE Joint Working
    Group on Forecast Verification Research, Forecast verification: issues, methods and FAQ.

    Examples
    --------
    >>> round(verify(28, 72, 23, 2680).peirce, 3)
    0.523
    """
    a, b, c, d = hits, false_alarms, misses, correct_negatives
    n = a + b + c + d
    why_not: list[str] = []

    def share(name: str, above: float, below: float, why: str) -> float | None:
        if below == 0:
            why_not.append(f"{name} is undefined: {why}.")
            return None
        return above / below

    pod = share("pod", a, a + c, "there were no events")
    pofd = share("pofd", b, b + d, "there were no quiet days")
    peirce = None if pod is None or pofd is None else pod - pofd
    if peirce is None:
        why_not.append("peirce is undefined: it needs both events and quiet days.")
    # Whole numbers throughout, so that no rounding makes a zero look like something else.
    scores = Verification(
        n=n,
        accuracy=share("accuracy", a + d, n, "there are no forecasts"),
        bias=share("bias", a + b, a + c, "there were no events"),
        pod=pod,
        far=share("far", b, a + b, "there were no warnings"),
        pofd=pofd,
        csi=share("csi", a, a + b + c, "there were neither warnings nor events"),
        ets=share(
            "ets", a * n - (a + b) * (a + c), (a + b + c) * n - (a + b) * (a + c), "chance alone explains all"
        ),
        peirce=peirce,
        hss=share("hss", 2 * (a * d - b * c), (a + c) * (c + d) + (a + b) * (b + d), "all days were alike"),
        odds_ratio=share("odds_ratio", a * d, b * c, "there were no false alarms or no misses"),
        orss=share("orss", a * d - b * c, a * d + b * c, "the table has too many zeros"),
        why_not=(),
        cautions=_cautions(a, c, n),
    )
    return Verification(**{**vars(scores), "why_not": tuple(why_not)})


def _cautions(hits: int, misses: int, n: int) -> tuple[str, ...]:
    events = hits + misses
    said = []
    if 0 < events < 10:
        said.append(f"Only {events} event{'s' * (events != 1)}: one more or less moves the scores a lot.")
    if n and events / n < 0.1:
        said.append("Events are rare: never warning would look accurate, so do not judge by accuracy.")
    return tuple(said)


CALCULATION = Calculation(
    name="verify",
    question="How good were the yes-or-no warnings?",
    source="WWRP/WGNE Joint Working Group on Forecast Verification Research; check data Finley 1884",
    method="scores of the two-by-two table",
    params=(
        Param("hits", "count", doc="Warned, and it came."),
        Param("false_alarms", "count", doc="Warned, and it did not come."),
        Param("misses", "count", doc="Not warned, and it came."),
        Param("correct_negatives", "count", doc="Not warned, and it did not come."),
    ),
    run=verify,
    example={"hits": 28, "false_alarms": 72, "misses": 23, "correct_negatives": 2680},
    returns={
        "n": "forecasts",
        "accuracy": "share that was right",
        "bias": "warnings per event",
        "pod, far, pofd": "events warned of; false warnings; quiet days warned of",
        "csi, ets": "hits among everything but quiet days; with chance taken off",
        "peirce, hss": "skill scores, -1 to 1",
        "odds_ratio, orss": "odds of a hit against a false alarm; as a skill score",
    },
    rules=(
        "No events: no pod; no warnings: no far; each undefined score is null with its reason.",
        "Accuracy says little of rare events: never warning scored 98 % in Finley's data.",
    ),
)
