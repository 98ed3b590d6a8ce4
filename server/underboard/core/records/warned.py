"""Records of warnings: the rules a plot wants, what the job raised, what people answered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.records.spec import Record, record_type, spec

#: Ways a warning may take besides the app itself.
CHANNELS = ("push", "email", "calendar")
SEVERITIES = ("Extreme", "Severe", "Moderate", "Minor", "Unknown")
URGENCIES = ("Immediate", "Expected", "Future", "Past", "Unknown")
CERTAINTIES = ("Observed", "Likely", "Possible", "Unlikely", "Unknown")


@record_type("watch")
@dataclass(frozen=True, kw_only=True)
class Watch(Record):
    """A rule the plot wants to be warned about."""

    rule: str | None = spec("text", "Name of the rule.", required=True, max_length=80)
    on: bool | None = spec("yes_no", "Whether it warns.")
    settings: Mapping[str, Any] | None = spec("settings", "Thresholds and choices of the rule.")
    quiet_from: str | None = spec(
        "text",
        "No sound from this local time, HH:MM; 22:00 if left out, never if both are the same.",
        max_length=5,
    )
    quiet_to: str | None = spec("text", "Until this local time, HH:MM; 06:00 if left out.", max_length=5)
    channels: tuple[str, ...] | None = spec(
        "choices", "Ways besides the app; none given means all that are set up.", choices=CHANNELS
    )


@record_type("warning", server_written=True)
@dataclass(frozen=True, kw_only=True)
class Warning_(Record):
    """What the scheduled job raised. Severity, urgency and certainty speak OASIS CAP 1.2."""

    rule: str | None = spec("text", "Name of the rule.", required=True, max_length=80)
    key: str | None = spec("text", "What it is about inside the rule; one warning a key.", max_length=200)
    raised_at: str | None = spec("instant", "When it was raised.", required=True)
    updated_at: str | None = spec("instant", "When its words or numbers last changed.")
    window_start: str | None = spec("instant", "From when it holds.")
    window_end: str | None = spec("instant", "Until when it holds.")
    place_ids: tuple[str, ...] | None = spec("refs", "Places it is about.", target="place", max_length=500)
    crop_ids: tuple[str, ...] | None = spec("refs", "Crops it is about.", target="crop", max_length=500)
    station_ids: tuple[str, ...] | None = spec(
        "refs", "Stations it is about.", target="station", max_length=500
    )
    severity: str | None = spec("choice", "How bad.", choices=SEVERITIES)
    urgency: str | None = spec("choice", "How soon.", choices=URGENCIES)
    certainty: str | None = spec("choice", "How sure.", choices=CERTAINTIES)
    headline: str | None = spec("text", "One sentence.", required=True, max_length=400)
    why: str | None = spec("text", "The numbers and the rule.", max_length=4000)
    advice: str | None = spec("text", "What growers commonly do about it.", max_length=4000)
    caution: str | None = spec("text", "What to take care of.", max_length=4000)
    numbers: Mapping[str, Any] | None = spec("settings", "The numbers it rests on, with interval.")
    score: Mapping[str, Any] | None = spec("settings", "How good the rule has been on this plot so far.")
    loud: bool | None = spec("yes_no", "No: only in the app, such as a night that is over.")
    ended_at: str | None = spec("instant", "When it no longer held.")


@record_type("learned", server_written=True)
@dataclass(frozen=True, kw_only=True)
class Learned(Record):
    """What the server has learned from the plot's own records, so that a phone reckons the same offline."""

    since: str | None = spec("instant", "Since when this plot is watched.")
    frost_fit: Mapping[str, Any] | None = spec("settings", "An answer of frost-fit over the plot's nights.")
    offsets: Mapping[str, Any] | None = spec("settings", "By place: how its minimum differs from the open.")
    scores: Mapping[str, Any] | None = spec("settings", "By rule: how it has done on this plot.")


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
