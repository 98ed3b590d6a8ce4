"""Is the newest backup too old?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from underboard.core.agronomy.contract import COMMON_PRACTICE
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.plot_time import day_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words

NAME = "backup_old"
#: The warning holds until a backup is made; a window needs an end.
HOLDS = timedelta(days=365)


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer when the newest backup, or without one the first record, is older than the person allows."""
    house = facts.house
    allowed = timedelta(days=settings["days"])
    since = house.backup_at or house.first_record_at
    if not house.keeps_backups:
        yield Held(rule=NAME, why_not="Backups of this server are somebody else's work.")
    elif since is None:
        yield Held(rule=NAME, why_not="There is nothing to back up yet.")
    elif now - since <= allowed:
        what = "The newest backup is" if house.backup_at else "The first record is"
        yield Held(rule=NAME, why_not=f"{what} of {day_words(day_of(facts, since))}, which is new enough.")
    else:
        on = day_words(day_of(facts, since))
        made = house.backup_at is not None
        yield Due(
            rule=NAME,
            key=day_of(facts, since).isoformat() if made else "never",
            window_start=since + allowed,
            window_end=since + allowed + HOLDS,
            severity="Minor",
            urgency="Expected",
            certainty="Observed",
            headline=f"The newest backup is of {on}."
            if made
            else f"There is no backup yet; the first record is of {on}.",
            why="If the server's disk fails, what the phones no longer hold since then is lost.",
            advice="Run underboard backup FILE on the server, onto another disk; with the setting backup_folder it is"
            " made each day. underboard doctor says what keeps it from being made.",
            caution="The file holds all records, names and photos: keep it where others cannot read it, or encrypt it.",
            numbers={"since": day_of(facts, since).isoformat()},
            loud=False,
        )


RULE = Rule(
    name=NAME,
    title="Backup old",
    question="Is there a backup that is new enough?",
    group="house",
    source=COMMON_PRACTICE,
    run=run,
    settings=(
        Setting(
            name="days",
            kind="whole",
            default=14,
            unit="days",
            low=1,
            high=365,
            doc="How old the newest backup may be (common practice, no source).",
        ),
    ),
)
