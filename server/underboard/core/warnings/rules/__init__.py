"""Every rule, in the order in which people read them."""

from __future__ import annotations

from underboard.core.warnings.terms import Rule

ALL: tuple[Rule, ...] = ()
