"""Counts on boards and traps: their mean, spread and the number of boards needed."""

CALCULATIONS: dict[str, str] = {
    "poisson-interval": "poisson_interval",
    "proportion": "proportion",
    "count-summary": "count_summary",
    "sample-size": "sample_size",
    "stop-line": "stop_line",
    "taylor": "taylor",
}
