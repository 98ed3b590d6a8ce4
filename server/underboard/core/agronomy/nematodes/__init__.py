"""Nematodes and home brews: doses, counts, when to apply and when to score."""

CALCULATIONS: dict[str, str] = {
    "nematode-dose": "dose",
    "culture-count": "culture_count",
    "application-check": "application_check",
    "efficacy-window": "efficacy_window",
}
