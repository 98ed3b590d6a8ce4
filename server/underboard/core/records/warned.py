"""Records of warnings: the rules a plot wants, what the job raised, what people answered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.records.spec import Record, record_type, spec


@record_type("watch")
@dataclass(frozen=True, kw_only=True)
class Watch(Record):
    """A rule the plot wants to be warned about."""

    rule: str | None = spec("text", "Name of the rule.", required=True, max_length=80)
    on: bool | None = spec("yes_no", "Whether it warns.")
    settings: Mapping[str, Any] | None = spec("settings", "Thresholds and choices of the rule.")
    quiet_from: str | None = spec("text", "No sound from this local time, HH:MM.", max_length=5)
    quiet_to: str | None = spec("text", "Until this local time, HH:MM.", max_length=5)


@record_type("warning", server_written=True)
@dataclass(frozen=True, kw_only=True)
class Warning_(Record):
    """What the scheduled job raised. Severity and urgency speak OASIS CAP 1.2."""

    rule: str | None = spec("text", "Name of the rule.", required=True, max_length=80)
    raised_at: str | None = spec("instant", "When it was raised.", required=True)
    window_start: str | None = spec("instant", "From when it holds.")
    window_end: str | None = spec("instant", "Until when it holds.")
    place_ids: tuple[str, ...] | None = spec("refs", "Places it is about.", target="place", max_length=500)
    crop_ids: tuple[str, ...] | None = spec("refs", "Crops it is about.", target="crop", max_length=500)
    severity: str | None = spec(
        "choice",
        "How bad.",
        choices=("Extreme", "Severe", "Moderate", "Minor", "Unknown"),
    )
    urgency: str | None = spec(
        "choice",
        "How soon.",
        choices=("Immediate", "Expected", "Future", "Past", "Unknown"),
    )
    headline: str | None = spec("text", "One sentence.", required=True, max_length=400)
    why: str | None = spec("text", "The numbers and the rule.", max_length=4000)
    advice: str | None = spec("text", "What growers commonly do about it.", max_length=4000)
    caution: str | None = spec("text", "What to take care of.", max_length=4000)
    numbers: Mapping[str, Any] | None = spec("settings", "The numbers it rests on, with interval.")
    ended_at: str | None = spec("instant", "When it no longer held.")


@record_type("warning_reply")
@dataclass(frozen=True, kw_only=True)
class WarningReply(Record):
    """What people did about a warning and what really happened."""

    warning_id: str | None = spec("ref", "The warning.", required=True, target="warning")
    observed_at: str | None = spec("instant", "When this was said.", required=True)
    seen: bool | None = spec("yes_no", "It was read.")
    acted: bool | None = spec("yes_no", "Something was done.")
    outcome: str | None = spec(
        "choice",
        "What really happened.",
        choices=("happened", "did_not_happen", "not_known"),
    )
    observer: str | None = spec("text", "Who says so: a member's name.", max_length=80)
