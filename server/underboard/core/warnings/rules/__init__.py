"""Every rule, in the order in which people read them."""

from __future__ import annotations

from underboard.core.warnings.rules import (
    backup_old,
    certificate_ending,
    phone_not_synced,
    reading_implausible,
    round_missed,
)
from underboard.core.warnings.terms import Rule

ALL: tuple[Rule, ...] = (
    round_missed.RULE,
    reading_implausible.RULE,
    phone_not_synced.RULE,
    backup_old.RULE,
    certificate_ending.RULE,
)
