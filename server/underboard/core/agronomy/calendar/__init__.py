"""Which day a reading belongs to, when the sun rises, and units."""

CALCULATIONS: dict[str, str] = {
    "day-credit": "day_credit",
    "sun": "sun",
    "convert": "convert",
}
