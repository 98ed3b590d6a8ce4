"""The sentences that go with a comparison of groups."""

from __future__ import annotations

from collections.abc import Sequence

from underboard.core.agronomy.trials.groups import Group

# Below so many degrees of freedom the t quantile of the quasi-Poisson interval holds better (HONESTY.md).
MANY_BOARDS = 60


def compare_headline(dispersion: float | None, a: float, df: int, base: Group) -> tuple[str, str]:
    """Which interval to believe, as a word and as a sentence."""
    if base.total == 0:
        return "none", "Nothing was counted in the reference, so no ratio can be formed."
    if dispersion is None:
        return (
            "none",
            "One count a group shows no scatter between boards, so no interval here can be believed; "
            "the Poisson ones are the least that chance would do.",
        )
    if dispersion <= 1 or a == 0:
        return (
            "poisson",
            f"The counts scatter no more than chance (dispersion {dispersion:.2f}): the Poisson interval holds.",
        )
    if df < MANY_BOARDS:
        return (
            "quasi",
            f"The counts are clumped (dispersion {dispersion:.2f}) and boards are few ({df} degrees of "
            "freedom): believe the quasi-Poisson interval; the Poisson one is too narrow.",
        )
    return (
        "nb",
        f"The counts are clumped (dispersion {dispersion:.2f}): believe the negative binomial interval; the "
        "Poisson one is too narrow.",
    )


def compare_why_not(
    read: Sequence[Group], base: Group, a: float, dispersion: float | None, p: float | None
) -> tuple[str, ...]:
    """Say why figures are empty."""
    said = []
    if base.total == 0:
        said.append(f'Nothing was counted in the reference "{base.name[:40]}", so ratios are undefined.')
    empty = [group.name[:40] for group in read if group.total == 0 and group is not base]
    if empty:
        said.append(f"Nothing was counted in {', '.join(empty[:5])}: only an exact upper limit can be given.")
    if a == 0:
        said.append("The counts scatter no more than chance alone would, so theta has no value.")
    if dispersion is None:
        said.append("The dispersion needs more counts than groups, and something counted.")
    if p is None:
        said.append("All counts are equal, so the Kruskal-Wallis test has nothing to rank.")
    return tuple(said)


def compare_cautions(read: Sequence[Group], with_effort: bool) -> tuple[str, ...]:
    """Say where the intervals should be believed less."""
    said = ["Boards of one bed are not independent: one treated and one untreated bed is one comparison."]
    if min(len(group.counts) for group in read) < 6:
        said.append("With fewer than 6 boards a group every interval here is short of its level.")
    if with_effort:
        said.append("The Kruskal-Wallis test ranks counts per effort, whatever the effort.")
    return tuple(said)
