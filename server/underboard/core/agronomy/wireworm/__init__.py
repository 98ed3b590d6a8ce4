"""Wireworm: finds to densities, and what a nil result is worth."""

CALCULATIONS: dict[str, str] = {}
