"""Which day a reading belongs to, when the sun rises, and units."""

CALCULATIONS: dict[str, str] = {}
