"""What the plot's own records have taught: the fields of its `learned` record."""

from __future__ import annotations

from typing import Any

from underboard.core.warnings.facts import Facts
from underboard.core.warnings.frost_learned import frost_learned
from underboard.core.warnings.scoring import scores_of


def learned_of(facts: Facts) -> dict[str, Any]:
    """Return ``frost_fit``, ``offsets`` and ``scores`` as JSON: phones reckon the same from them as rules do."""
    return {**frost_learned(facts), "scores": scores_of(facts)}
