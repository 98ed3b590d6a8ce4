"""By how much did the treatment cut the numbers, against what would have happened without it?"""

from __future__ import annotations

from dataclasses import dataclass

from underboard.core.agronomy.answer import optional
from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.trials.log_ratio import LogRatio, of_counts, of_survival
from underboard.core.errors import InputFault

NEEDS = {
    "abbott_counts": ("treated_after", "control_after"),
    "abbott_percent": ("alive_check", "alive_treated"),
    "henderson_tilton": ("treated_before", "treated_after", "control_before", "control_after"),
    "schneider_orelli": ("treated_mortality", "control_mortality"),
    "sun_shepard": ("treated_mortality",),
    "baci": ("treated_before", "treated_after", "control_before", "control_after"),
}
_METHOD_WORDS = {
    "abbott_counts": "Abbott on counts: 100 (1 - treated/control)",
    "abbott_percent": "Abbott on percent alive: 100 (check - treated)/check",
    "henderson_tilton": "Henderson and Tilton: 100 (1 - Ta Cb/(Tb Ca))",
    "schneider_orelli": "Schneider and Orelli: 100 (Mt - Mc)/(100 - Mc)",
    "sun_shepard": "Sun and Shepard: 100 (Mt + dC)/(100 + dC)",
    "baci": "before-after-control-impact: ratio of ratios, 100 (1 - (Ta/Tb)/(Ca/Cb))",
}


@dataclass(frozen=True)
class Efficacy:
    """A treatment's effect.

    Attributes
    ----------
    percent, low, high
        Percent fewer than without treatment; negative when there were more. Never clamped.
    ratio, ratio_low, ratio_high
        Numbers with treatment over numbers without it: 1 is no effect.
    log_ratio, se_log_ratio
        Natural logarithm of the ratio and its standard error.
    additive
        baci only: change of the treated minus change of the control, in counts.
    """

    percent: float | None
    low: float | None
    high: float | None
    ratio: float | None
    ratio_low: float | None
    ratio_high: float | None
    log_ratio: float | None
    se_log_ratio: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str
    additive: float | None = optional()


def efficacy(
    method: str,
    treated_before: float | None = None,
    treated_after: float | None = None,
    control_before: float | None = None,
    control_after: float | None = None,
    treated_mortality: float | None = None,
    control_mortality: float | None = None,
    alive_check: float | None = None,
    alive_treated: float | None = None,
    control_change: float | None = None,
    n_treated: int | None = None,
    n_control: int | None = None,
    dispersion: float = 1.0,
    level: float = 0.95,
) -> Efficacy:
    """Give the effect of a treatment in percent, with its interval.

    Parameters
    ----------
    method
        ``abbott_counts``, ``abbott_percent``, ``henderson_tilton``, ``schneider_orelli``, ``sun_shepard`` or
        ``baci``.
    treated_before, treated_after, control_before, control_after
        Counts (totals, or means) [from 0].
    treated_mortality, control_mortality
        Percent dead [0 to 100].
    alive_check, alive_treated
        Percent alive [0 to 100].
    control_change
        Change of the control in percent, signed [from -100]; or give its counts before and after.
    n_treated, n_control
        How many animals the percentages come from; without them there is no interval.
    dispersion
        How much more than chance the counts vary (from ``compare``) [above 0]; 1 is chance alone.
    level
        Level of the interval.

    Returns
    -------
    Efficacy

    Raises
    ------
    InputFault
        When a value that the method needs is missing.

    Notes
    -----
    The interval is on the log ratio: ``se = sqrt(dispersion * sum of 1/count)`` for counts,
    ``sqrt(p/(n (1 - p)) + ...)`` for percentages p dead of n. With a count of 0 among the treated the percent is
    100 and the interval adds a half to every count. Sun-Shepard is Henderson-Tilton with mortality of the
    treated. 1 minus the BACI ratio is Henderson-Tilton.

    References
    ----------
    Abbott, W. S. (1925), J. Econ. Entomol. 18, 265-267. Henderson, C. F. & Tilton, E. W. (1955), J. Econ.
    Entomol. 48, 157-161. Schneider-Orelli, O. (1947); Sun, Y.-P. & Shepard, H. H. (1947), J. Econ. Entomol.
    40, 710-715; Püntener, W. (1981), Manual for field trials in plant protection (formulas from memory).

    Examples
    --------
    >>> answer = efficacy("henderson_tilton", 20, 8, 18, 24)
    >>> round(answer.percent, 1), round(answer.low, 1), round(answer.high, 1)
    (70.0, 16.6, 89.2)
    """
    given = {
        "treated_before": treated_before,
        "treated_after": treated_after,
        "control_before": control_before,
        "control_after": control_after,
        "treated_mortality": treated_mortality,
        "control_mortality": control_mortality,
        "alive_check": alive_check,
        "alive_treated": alive_treated,
    }
    for name in NEEDS[method]:
        if given[name] is None:
            raise InputFault(f"/{name}", f'Method "{method}" needs "{name}".')
    value = {name: number or 0.0 for name, number in given.items()}
    if method == "sun_shepard":
        change = _change(control_change, control_before, control_after)
        found = _sun_shepard(value["treated_mortality"], change)
    elif method in ("abbott_percent", "schneider_orelli"):
        found = of_survival(*_alive(method, value), n_treated, n_control, dispersion)
    else:
        found = of_counts(
            value["treated_after"],
            value["control_after"],
            value["treated_before"] if method != "abbott_counts" else None,
            value["control_before"] if method != "abbott_counts" else None,
            dispersion,
        )
    additive = None
    if method == "baci":
        additive = (value["treated_after"] - value["treated_before"]) - (
            value["control_after"] - value["control_before"]
        )
    return _answer(method, found, level, additive)


def _alive(method: str, value: dict[str, float]) -> tuple[float, float]:
    """Shares alive among the treated and in the control [0 to 1]."""
    if method == "abbott_percent":
        return value["alive_treated"] / 100, value["alive_check"] / 100
    return (100 - value["treated_mortality"]) / 100, (100 - value["control_mortality"]) / 100


def _change(given: float | None, before: float | None, after: float | None) -> float | None:
    """Change of the control [%], None when it cannot be had because nothing was there before."""
    if given is not None:
        return given
    if before is None or after is None:
        raise InputFault(
            "/control_change",
            'Method "sun_shepard" needs "control_change", or "control_before" and "control_after".',
        )
    return 100 * (after - before) / before if before > 0 else None


def _sun_shepard(mortality: float, change: float | None) -> LogRatio:
    if change is None:
        return LogRatio(None, None, None, ("The control had none before, so its change is undefined.",), ())
    if change == -100:
        return LogRatio(None, None, None, ("The control died out, so there is nothing to compare with.",), ())
    why = ("Percentages alone carry no interval; use the counts with henderson_tilton.",)
    return LogRatio((100 - mortality) / (100 + change), None, None, why, ())


def _answer(method: str, found: LogRatio, level: float, additive: float | None) -> Efficacy:
    low, high = found.limits(level)
    return Efficacy(
        percent=_percent(found.ratio),
        low=_percent(high),
        high=_percent(low),
        ratio=found.ratio,
        ratio_low=low,
        ratio_high=high,
        log_ratio=found.log_ratio,
        se_log_ratio=found.se,
        why_not=found.why_not,
        cautions=found.cautions,
        method=_METHOD_WORDS[method],
        additive=additive,
    )


def _percent(ratio: float | None) -> float | None:
    return None if ratio is None else 100 * (1 - ratio)


def _count(key: str, doc: str) -> Param:
    return Param(key, "number", required=False, default=None, low=0, high=1e9, doc=doc)


def _share(key: str, doc: str) -> Param:
    return Param(key, "number", required=False, default=None, unit="%", low=0, high=100, doc=doc)


CALCULATION = Calculation(
    name="efficacy",
    question="By how much did the treatment cut the numbers?",
    source="Abbott 1925, J. Econ. Entomol. 18:265; Henderson & Tilton 1955, ibid. 48:157; Schneider-Orelli 1947 "
    "and Sun & Shepard 1947 after Püntener 1981 (from memory)",
    method="percent fewer than without treatment, interval on the log ratio",
    params=(
        Param("method", "choice", choices=tuple(NEEDS), doc="Which formula."),
        _count("treated_before", "Count where treated, before."),
        _count("treated_after", "Count where treated, after."),
        _count("control_before", "Count where untreated, before."),
        _count("control_after", "Count where untreated, after."),
        _share("treated_mortality", "Percent dead where treated."),
        _share("control_mortality", "Percent dead where untreated."),
        _share("alive_check", "Percent alive where untreated."),
        _share("alive_treated", "Percent alive where treated."),
        Param(
            "control_change",
            "number",
            required=False,
            default=None,
            unit="%",
            low=-100,
            high=1e9,
            doc="Change of the untreated, signed (sun_shepard).",
        ),
        Param(
            "n_treated", "count", required=False, default=None, low=1, doc="Animals behind the treated share."
        ),
        Param(
            "n_control", "count", required=False, default=None, low=1, doc="Animals behind the control share."
        ),
        Param(
            "dispersion",
            "number",
            required=False,
            default=1.0,
            low=1e-6,
            high=1e6,
            doc="How much more than chance the counts vary (from compare).",
        ),
        LEVEL,
    ),
    run=efficacy,
    example={
        "method": "henderson_tilton",
        "treated_before": 20,
        "treated_after": 8,
        "control_before": 18,
        "control_after": 24,
        "dispersion": 3.173,
    },
    returns={
        "percent, low, high": "percent fewer than without treatment; negative means more",
        "ratio, ratio_low, ratio_high": "with over without treatment; 1 is no effect",
        "log_ratio, se_log_ratio": "the scale of the interval",
        "additive": "baci only: difference of the changes, in counts",
    },
    rules=(
        "A negative percent is shown as it is: the numbers grew faster where treated.",
        "Nothing left in the control, or nothing before where treated: percent is null.",
        "Boards clump: with dispersion 1 the interval is too narrow; take dispersion from compare.",
        "One treated and one untreated bed is one comparison, however many boards lie in them.",
    ),
    needs_scipy=True,
)
