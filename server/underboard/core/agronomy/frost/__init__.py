"""Cold nights: humidity, the lowest temperature to come, covers, and what years of minima say."""

CALCULATIONS: dict[str, str] = {
    "humidity": "humidity",
    "frost-fit": "frost_fit",
    "frost-tonight": "frost_tonight",
    "night-curve": "night_curve",
    "cover-offset": "cover_offset",
    "last-frost": "last_frost",
    "risk": "risk",
    "lowest-return": "lowest_return",
}
