"""Could this difference be chance? Shuffle the labels and see."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Block = NDArray[np.float64]

# Up to so many arrangements all are gone through; above, so many are drawn.
MOST_EXACT = 20_000
DRAWN = 20_000
# Random keys held in memory at once.
SLAB = 2_000_000


@dataclass(frozen=True)
class PermutationTest:
    """A difference and how often shuffled labels give one as large.

    Attributes
    ----------
    difference
        Mean of treated minus mean of control.
    p
        Two-sided: share of arrangements whose difference is at least as large either way.
    n_permutations
        Arrangements gone through or drawn.
    exact
        Whether all arrangements were gone through.
    """

    difference: float | None
    p: float | None
    n_permutations: int
    exact: bool
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str


def permutation_test(
    treated: Sequence[float], control: Sequence[float], blocks: Sequence[str] | None = None, seed: int = 1
) -> PermutationTest:
    """Test a difference of means by shuffling which figures are treated.

    Parameters
    ----------
    treated, control
        One effect (such as the change of a board's count) for each board, bed or pair.
    blocks
        The block of each figure, treated first, then control; labels are shuffled within blocks only. When
        there are as many treated as control figures, one list for the pairs will do.
    seed
        For drawing arrangements when there are too many to go through.

    Returns
    -------
    PermutationTest

    Raises
    ------
    InputFault
        When blocks do not match the figures.

    Notes
    -----
    All arrangements are gone through when there are at most 20,000; otherwise 20,000 are drawn and
    ``p = (hits + 1)/(drawn + 1)``. The statistic is the difference of overall means.

    References
    ----------
    Fisher, R. A. (1935), The Design of Experiments. Phipson, B. & Smyth, G. K. (2010), Permutation p-values
    should never be zero, Stat. Appl. Genet. Mol. Biol. 9, 39.

    Examples
    --------
    >>> permutation_test([1, 2, 3], [4, 5, 6]).p
    0.1
    """
    if not treated or not control:
        why = ("Both sides need at least one figure.",)
        return PermutationTest(None, None, 0, True, why, (), "permutation of labels")
    n_treated = len(treated)
    values = [*treated, *control]
    members = _members(blocks, n_treated, len(control))
    difference = math.fsum(treated) / n_treated - math.fsum(control) / len(control)
    sizes = [(len(places), sum(1 for i in places if i < n_treated)) for places in members]
    arrangements = math.prod(math.comb(*size) for size in sizes)
    exact = arrangements <= MOST_EXACT
    method = "permutation of labels" + (" within blocks" if blocks is not None else "")
    if arrangements == 1:
        why = ("No block holds both treated and control figures, so there is nothing to shuffle.",)
        return PermutationTest(difference, None, 1, True, why, (), method)
    sums = _all_sums(values, members, sizes) if exact else _drawn_sums(values, members, sizes, seed)
    hits = _hits(sums, values, n_treated)
    p = hits / arrangements if exact else (hits + 1) / (DRAWN + 1)
    cautions = _cautions(arrangements)
    count = arrangements if exact else DRAWN
    return PermutationTest(difference, p, count, exact, (), cautions, method)


def _cautions(arrangements: int) -> tuple[str, ...]:
    if arrangements < 20:
        return (f"Only {arrangements} arrangements exist, so p cannot be below {1 / arrangements:.2g}.",)
    return ()


def _members(blocks: Sequence[str] | None, n_treated: int, n_control: int) -> list[list[int]]:
    """The places of each block's figures in the list of treated, then control."""
    n = n_treated + n_control
    if blocks is None:
        return [list(range(n))]
    labels = list(blocks)
    if len(labels) == n_treated == n_control:
        labels = labels * 2
    if len(labels) != n:
        raise InputFault(
            "/blocks", f"Give one block for each of the {n} figures, treated first; there are {len(blocks)}."
        )
    places: dict[str, list[int]] = {label: [] for label in Counter(labels)}
    for i, label in enumerate(labels):
        places[label].append(i)
    return list(places.values())


def _all_sums(
    values: Sequence[float], members: list[list[int]], sizes: list[tuple[int, int]]
) -> NDArray[np.float64]:
    """The sum of the figures labelled treated, in every arrangement."""
    from itertools import combinations

    import numpy as np

    sums = np.zeros(1)
    for places, (_, chosen) in zip(members, sizes, strict=True):
        block = np.array([math.fsum(values[i] for i in pick) for pick in combinations(places, chosen)])
        sums = (sums[:, None] + block[None, :]).ravel()
    return sums


def _drawn_sums(
    values: Sequence[float], members: list[list[int]], sizes: list[tuple[int, int]], seed: int
) -> NDArray[np.float64]:
    import numpy as np

    random = np.random.default_rng(seed)
    figures = np.asarray(values, float)
    sums = np.zeros(DRAWN)
    for places, (size, chosen) in zip(members, sizes, strict=True):
        if chosen in (0, size):
            sums += figures[places].sum() if chosen else 0.0
            continue
        sums += _drawn_block(figures[places], chosen, random)
    return sums


def _drawn_block(block: Block, chosen: int, random: np.random.Generator) -> NDArray[np.float64]:
    """Sums of `chosen` figures of a block drawn without return, many times, a slab at a time."""
    import numpy as np

    rows = max(SLAB // len(block), 1)
    sums = []
    for start in range(0, DRAWN, rows):
        keys = random.random((min(rows, DRAWN - start), len(block)))
        picks = np.argpartition(keys, chosen - 1, axis=1)[:, :chosen]
        sums.append(block[picks].sum(axis=1))
    return np.concatenate(sums)


def _hits(sums: NDArray[np.float64], values: Sequence[float], n_treated: int) -> int:
    """Arrangements whose difference of means is at least as far from 0, give or take rounding."""
    import numpy as np

    n = len(values)
    total = math.fsum(values)
    observed = math.fsum(values[:n_treated])
    # difference = sum (1/t + 1/c) - total/c, so its size is that of sum - total t/n.
    centre = total * n_treated / n
    room = 1e-9 * max(math.fsum(abs(value) for value in values), 1e-300)
    return int(np.count_nonzero(np.abs(sums - centre) >= abs(observed - centre) - room))


CALCULATION = Calculation(
    name="permutation-test",
    question="Could this difference be chance?",
    source="Fisher 1935, The Design of Experiments; Phipson & Smyth 2010, Stat. Appl. Genet. Mol. Biol. 9:39",
    method="permutation of labels",
    params=(
        Param("treated", "numbers", max_len=2_000, doc="One effect for each treated board, bed or pair."),
        Param("control", "numbers", max_len=2_000, doc="The same for the untreated."),
        Param(
            "blocks",
            "labels",
            required=False,
            default=None,
            max_len=4_000,
            doc="The block of each figure, treated first, then control; or one list for pairs.",
        ),
        Param("seed", "integer", required=False, default=1, low=0, high=2**32 - 1, doc="Seed for drawing."),
    ),
    run=permutation_test,
    example={"treated": [-3, -5, -2, -4], "control": [1, -1, 0, 2]},
    returns={
        "difference": "mean of treated minus mean of control",
        "p": "two-sided chance of a difference as large by shuffling alone",
        "n_permutations": "arrangements gone through or drawn",
        "exact": "whether all arrangements were gone through",
    },
    rules=(
        "At most 20,000 arrangements: all are gone through; otherwise 20,000 are drawn with the seed.",
        "Few figures cannot give a small p, whatever the difference: three against three at best 0.1.",
        "Shuffle what was treated as one: beds, not the boards in them.",
    ),
)
