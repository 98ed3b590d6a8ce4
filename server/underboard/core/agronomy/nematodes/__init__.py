"""Nematodes and home brews: doses, counts, when to apply and when to score."""

CALCULATIONS: dict[str, str] = {}
