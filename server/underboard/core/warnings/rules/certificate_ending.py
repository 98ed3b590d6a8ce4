"""Does the server's certificate end soon?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from underboard.core.agronomy.contract import COMMON_PRACTICE
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.plot_time import day_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words

NAME = "certificate_ending"
#: From here on it is pressing.
PRESSING = timedelta(days=7)
HOLDS = timedelta(days=365)


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer when the certificate ends within the days the person set, and more gravely in the last week."""
    ends = facts.house.certificate_ends_at
    if ends is None:
        yield Held(rule=NAME, why_not="This server has no certificate of its own.")
        return
    on = day_words(day_of(facts, ends))
    begins = ends - timedelta(days=settings["days"])
    if now < begins:
        yield Held(rule=NAME, why_not=f"The certificate holds until {on}.")
        return
    over = now >= ends
    yield Due(
        rule=NAME,
        key=day_of(facts, ends).isoformat(),
        window_start=begins,
        window_end=ends + HOLDS,
        severity="Moderate" if now >= ends - PRESSING else "Minor",
        urgency="Past" if over else "Expected",
        certainty="Observed",
        headline=f"The server's certificate ended on {on}."
        if over
        else f"The server's certificate ends on {on}.",
        why="Without a certificate that holds, phones refuse to sync; what they record stays safe on them.",
        advice="A server that runs renews its own certificate by itself; run `underboard certificate` to see why not.",
        caution="Never tell a phone to go on in spite of a certificate warning: that is how a sham server gets in.",
        numbers={"ends_on": day_of(facts, ends).isoformat()},
        loud=False,
    )


RULE = Rule(
    name=NAME,
    title="Certificate ending",
    question="Will phones still be able to sync?",
    group="house",
    source=COMMON_PRACTICE,
    run=run,
    settings=(
        Setting(
            name="days",
            kind="whole",
            default=20,
            unit="days",
            low=1,
            high=180,
            doc="Say so this many days before it ends; the last 7 are graver (common practice, no source).",
        ),
    ),
)
