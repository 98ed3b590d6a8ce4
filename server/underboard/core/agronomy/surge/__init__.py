"""More than usual: alarms on series of counts, and slow trends."""

CALCULATIONS: dict[str, str] = {
    "surge": "surge",
    "times-usual": "times_usual",
    "trend": "trend",
}
