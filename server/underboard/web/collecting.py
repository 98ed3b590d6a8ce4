"""How often Python looks for circles among its objects while the server answers.

A push of 500 makes some thousand objects that all go by themselves. By default Python would walk through everything
that was loaded, a few hundred thousand objects, again and again in between; that is a tenth of a push.
"""

from __future__ import annotations

import gc
from typing import Final

YOUNG: Final = 20_000
"""Objects made, beyond those that went, before the youngest are looked at; Python's own is 700."""


def look_seldom() -> None:
    """Leave alone what is loaded by now, and look at the rest less often. To be called once, after loading."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(YOUNG, 20, 50)
