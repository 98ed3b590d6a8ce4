"""Treated against untreated: effects with their intervals."""

CALCULATIONS: dict[str, str] = {}
