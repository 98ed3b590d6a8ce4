"""The sentences that go with a summary of counts."""

from __future__ import annotations

from collections.abc import Sequence

from underboard.core.agronomy.counts.spread import Spread
from underboard.core.agronomy.counts.tally import Tally

# By simulation (HONESTY.md): up to here the plain profile interval falls short when boards are clumped,
FEW_BOARDS = 20
# and below this total every interval is wider than its level says.
FEW_SLUGS = 12


def summary_why_not(
    seen: Tally,
    about: Spread,
    a: float,
    a_low: float | None,
    mean_high: float | None,
    grouped: object,
    clusters: Sequence[str] | None,
) -> tuple[str, ...]:
    """Say why figures of the summary are empty."""
    said = []
    if seen.n == 1:
        said.append("One board tells nothing of the spread between boards.")
    if seen.total == 0:
        said.append("All counts are zero, so the spread between boards cannot be seen.")
    elif seen.total == 1:
        said.append("A single find cannot share a board, so Morisita's index is undefined.")
    if seen.n > 1 and seen.total > 0:
        if a == 0:
            said.append("The counts scatter no more than chance alone would, so k has no upper end.")
        elif a_low == 0:
            said.append("The counts do not rule chance scatter out, so k has no upper limit.")
        if about.k_moment is None and a > 0:
            said.append("The variance is not above the mean, so k by moments has no value.")
    if mean_high is None:
        said.append("So few boards had any that the mean has no upper limit.")
    if clusters is not None and grouped is None:
        said.append("Limits by cluster need at least two clusters and something counted.")
    return tuple(said)


def summary_cautions(
    seen: Tally, about: Spread, clusters: Sequence[str] | None, grouped: tuple[float, float, int] | None
) -> tuple[str, ...]:
    """Say where the intervals should be believed less."""
    said = []
    if seen.n == 1 or seen.total == 0:
        said.append(
            "The limits are Poisson limits: if slugs clump, as they mostly do, the true mean may lie higher."
        )
    elif seen.total < FEW_SLUGS and about.k_moment is not None and seen.n <= FEW_BOARDS:
        # Few counted widens, few clumped boards narrow: by simulation the first mostly wins, and not always.
        said.append(
            f"Only {seen.total} counted on {seen.n} boards: with so little the limits are mostly wider than their "
            "level says, yet the true mean may lie above them where these boards missed the clumps."
        )
    elif seen.total < FEW_SLUGS:
        said.append(
            f"Only {seen.total} counted in all: the intervals are wider than their level says, "
            "so that the true mean lies inside more often than promised."
        )
    elif about.k_moment is not None and seen.n < 6:
        said.append(
            f"With {seen.n} boards no interval of clumped counts can be trusted: the true mean lies outside "
            "clearly more often than the level says."
        )
    elif about.k_moment is not None and seen.n <= FEW_BOARDS:
        said.append(
            f"With {seen.n} clumped boards the plain interval (mean_low, mean_high) holds the true mean in "
            "about 91 to 94 of 100 cases instead of 95; the calibrated one comes closer."
        )
    if clusters is not None:
        said.append(
            "Boards of one cluster go up and down together, so the plain intervals are too narrow; "
            "use mean_low_cluster and mean_high_cluster."
        )
        if grouped is not None and grouped[2] < 10:
            said.append(f"With {grouped[2]} clusters even the cluster limits are somewhat short.")
    return tuple(said)
