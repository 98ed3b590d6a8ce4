"""Messages to send in tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from underboard.notify.port import Message, Notice

NOW = datetime(2026, 5, 12, 20, 0, tzinfo=UTC)
FROST = Notice(
    warning_id="5f0d1c1e-0000-5000-8000-000000000001",
    rule="frost",
    headline="Frost likely in the tunnel tonight: 71 % (55 to 84 %)",
    why="Air 6.0 °C and wet bulb 4.1 °C two hours after sunset.",
    advice="Growers cover young potatoes with fleece.",
    caution="No open flame in a tunnel.",
    severity="Severe",
    urgency="Immediate",
    window_start=NOW + timedelta(hours=3),
    window_end=NOW + timedelta(hours=9),
)
SURGE = Notice(
    warning_id="5f0d1c1e-0000-5000-8000-000000000002",
    rule="surge",
    headline="Slugs are rising: 3.1 a board, 2.2 times the usual",
    severity="Moderate",
    urgency="Expected",
)


def message(*notices: Notice, **changes: Any) -> Message:
    made = Message(
        id="0123456789abcdef0123456789abcdef",
        plot_name="Mill Lane",
        time_zone="Europe/London",
        notices=notices or (FROST,),
        sent_at=NOW,
        expires_at=NOW + timedelta(hours=9),
    )
    return replace(made, **changes)
