"""All that a plot ever recorded, as the facts that rules read; for replays. Cost follows the plot's history."""

from __future__ import annotations

from underboard.core.warnings.digest import begin, take
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.facts_of import facts_of
from underboard.store import summaries


def all_facts(plot_id: str) -> Facts:
    """Return the plot's facts with nothing let go at a horizon.

    Raises
    ------
    UnknownPlot
    """
    seq = summaries.read(plot_id, "warnings").seq
    plot = summaries.record(plot_id, plot_id)
    digest = begin(plot_id, (plot or {}).get("body") or {})
    for page in summaries.changed_since(plot_id, 0, seq):
        take(digest, (one for one in page if one["id"] != plot_id))
    return facts_of(digest)
