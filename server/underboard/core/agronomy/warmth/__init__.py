"""Heat sums, soil warmth and what grows by them."""

CALCULATIONS: dict[str, str] = {}
