"""What boards usually have is learned once from the same rounds, is what `learn` says, and cannot be changed after."""

from __future__ import annotations

import numpy as np
import pytest

from underboard.core.agronomy.surge.board_model import learn, learn_once

COUNTS = np.array([[2, 0, 5], [1, 0, 6], [3, 1, 4], [0, 0, 7], [2, 1, 3]], float)
ALL = np.ones_like(COUNTS)


def test_the_same_rounds_are_learned_from_once() -> None:
    found = learn_once(COUNTS, ALL)
    assert learn_once(COUNTS.copy(), ALL.copy()) is found
    fresh = learn(COUNTS, ALL)
    assert found.usual.tolist() == fresh.usual.tolist()
    assert (found.scatter, found.swing, found.n_rounds, found.n_scatter) == (
        fresh.scatter,
        fresh.swing,
        fresh.n_rounds,
        fresh.n_scatter,
    )


def test_other_counts_other_gaps_or_another_shape_are_learned_anew() -> None:
    found = learn_once(COUNTS, ALL)
    one_more, gap = COUNTS.copy(), ALL.copy()
    one_more[4, 2] += 1
    gap[3, 0] = 0
    others = [learn_once(one_more, ALL), learn_once(COUNTS, gap)]
    # Fifteen numbers in another order of rows are other rounds, though the bytes are the same.
    others.append(learn_once(COUNTS.reshape(3, 5), ALL.reshape(3, 5)))
    assert all(other is not found for other in others)
    assert len({other.usual.tobytes() for other in (found, *others)}) == 4


def test_what_is_shared_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="read-only"):
        learn_once(COUNTS, ALL).usual[0] = 9
    # A slice of a larger table, as the watch gives it.
    wide = np.hstack([COUNTS, COUNTS])[:, :3]
    assert learn_once(wide, ALL) is learn_once(COUNTS, ALL)
