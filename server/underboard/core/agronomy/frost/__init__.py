"""Cold nights: humidity, the lowest temperature to come, covers, and what years of minima say."""

CALCULATIONS: dict[str, str] = {}
