"""Warnings: one rule a file in `rules/`, each a pure function (facts, settings, now) → what is due, what is held.

`RULES` maps a rule's name to it, in the order in which people read them.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from underboard.core.warnings.rules import ALL
from underboard.core.warnings.terms import Rule

RULES: Final[Mapping[str, Rule]] = MappingProxyType({rule.name: rule for rule in ALL})

__all__ = ["RULES"]
