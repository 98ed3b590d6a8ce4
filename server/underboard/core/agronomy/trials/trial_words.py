"""The sentences that go with the effect of a trial."""

from __future__ import annotations

import math
from collections.abc import Sequence

from underboard.core.agronomy.trials.trial_blocks import Fit, Unit

#: Below so many units a side an interval by t still holds, but hardly anything can be shown.
FEW = 6


def effect_why_not(
    fit: Fit, treated: Sequence[Unit], control: Sequence[Unit], *, endless: bool
) -> tuple[str, ...]:
    """Say why figures are empty."""
    said = []
    if fit.n_blocks == 0 or fit.log_ratio == math.inf:
        said.append(_undefined(treated, control))
    elif fit.log_ratio == -math.inf:
        said.append("The ratio is 0, so its logarithm and the chance p are undefined.")
    if endless:
        said.append("The counts are so small that the interval has no upper end.")
    if fit.df == 0:
        said.append("With one unit a side there is no scatter to see, so dispersion and p are undefined.")
    elif fit.dispersion is None:
        said.append("The dispersion needs counts before and after on both sides.")
    return tuple(said)


def _undefined(treated: Sequence[Unit], control: Sequence[Unit]) -> str:
    if sum(unit.after for unit in control) == 0:
        return "Nothing was left in the control, so there is nothing to compare with."
    if sum(unit.before for unit in control) == 0:
        return "Nothing was counted in the control before, so its change cannot be worked out."
    if sum(unit.before for unit in treated) == 0:
        return "Nothing was counted before where treated, so no change can be worked out."
    return "No block has treated and untreated units with counts before and after."


def effect_cautions(fit: Fit) -> tuple[str, ...]:
    """Say where the answer should be believed less."""
    said = []
    fewest = min(fit.n_treated, fit.n_control)
    if fit.df == 0:
        said.append(
            "One unit a side is one comparison: the interval takes the counts as scattering by chance alone, and "
            "is too narrow."
        )
    elif fewest < FEW:
        said.append(f"With {fewest} on one side the answer rests on few; repeat it on more.")
    if fit.n_blocks and min(fit.totals) < 5:
        said.append("A count below 5 makes the interval rough.")
    if fit.log_ratio == -math.inf:
        said.append("Nothing was left where treated; the interval adds a half to every total.")
    if fit.left_out:
        said.append("Blocks or units that cannot be compared were left out.")
    return tuple(said)
