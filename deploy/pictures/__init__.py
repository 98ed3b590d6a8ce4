"""The pictures of the calculations' pages: ``python -m deploy.pictures``, then ``python -m underboard.cli.calc_pages``.

Each shows the worked example of its page, computed on the spot. matplotlib is wanted here and nowhere else: the
package neither imports nor installs it, the finished SVG files stand beside its pages.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from deploy.pictures import counts, frost, surge, trials, warmth, wireworm
from deploy.pictures.frame import Draw, svg
from underboard.cli.calc_pages import PAGES
from underboard.core.agronomy import calculation, evaluate

__all__ = ["PAGES", "PICTURES", "picture"]

PICTURES: Mapping[str, Draw] = {
    **counts.PICTURES, **frost.PICTURES, **surge.PICTURES, **trials.PICTURES, **warmth.PICTURES, **wireworm.PICTURES,
}  # fmt: skip


def picture(name: str) -> str:
    """The SVG text of one calculation's worked example."""
    given = json.loads(json.dumps(calculation(name).example))
    return svg(PICTURES[name], given, evaluate(name, given))
