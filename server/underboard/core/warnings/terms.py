"""The words of warnings: what a rule is, what it answers, what it may be told to do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from underboard.core.warnings.facts import Facts

# OASIS Common Alerting Protocol 1.2, section 3.2.2.
Severity = Literal["Extreme", "Severe", "Moderate", "Minor", "Unknown"]
Urgency = Literal["Immediate", "Expected", "Future", "Past", "Unknown"]
Certainty = Literal["Observed", "Likely", "Possible", "Unlikely", "Unknown"]
Group = Literal["tonight", "pests", "ground", "work", "house"]
SettingKind = Literal["number", "whole", "yes_no", "choice", "text"]


@dataclass(frozen=True, kw_only=True)
class Due:
    """A warning that should stand now.

    `key` names what it is about inside its rule (a night, a bed in a year). While the key stays the same it
    is one warning whose words and numbers move on. `numbers` is JSON, keys with their unit, intervals as
    `low` and `high`. A warning that is not `loud` is shown in the app alone.
    """

    rule: str
    key: str
    window_start: datetime
    window_end: datetime
    severity: Severity
    urgency: Urgency
    certainty: Certainty
    headline: str
    why: str
    advice: str
    caution: str
    numbers: Mapping[str, Any] = field(default_factory=dict)
    place_ids: tuple[str, ...] = ()
    crop_ids: tuple[str, ...] = ()
    station_ids: tuple[str, ...] = ()
    loud: bool = True


@dataclass(frozen=True, kw_only=True)
class Held:
    """Why a rule says nothing, in one plain sentence."""

    rule: str
    why_not: str
    key: str | None = None
    numbers: Mapping[str, Any] = field(default_factory=dict)


Said = Due | Held


@dataclass(frozen=True)
class Decision:
    """What all rules say of one plot at one time, in the order of the rules."""

    due: tuple[Due, ...]
    held: tuple[Held, ...]


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One thing a person may choose about a rule. `low` and `high` bound numbers, both included."""

    name: str
    kind: SettingKind
    doc: str
    default: Any = None
    unit: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Rule:
    """One thing worth being warned about.

    `run(facts, settings, now)` is pure, does not depend on the order of records, and answers what is due and
    what is held back. `settings` come with defaults filled in and values out of range put back to the default.
    """

    name: str
    title: str
    question: str
    group: Group
    source: str
    run: Callable[[Facts, Mapping[str, Any], datetime], Iterable[Said]]
    settings: tuple[Setting, ...] = ()
    on: bool = True
    wake: bool = False
    """Speaks in quiet hours too, unless the person says otherwise."""


def chosen(rule: Rule, given: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return the settings of a rule: what the person gave where it is fit, the default elsewhere."""
    given = given or {}
    return {one.name: _fit(one, given.get(one.name)) for one in rule.settings}


def _fit(setting: Setting, value: Any) -> Any:
    if setting.kind in ("number", "whole"):
        if isinstance(value, bool) or not isinstance(value, int | float):
            return setting.default
        low = -float("inf") if setting.low is None else setting.low
        high = float("inf") if setting.high is None else setting.high
        if not low <= value <= high or (setting.kind == "whole" and value != int(value)):
            return setting.default
        return int(value) if setting.kind == "whole" else float(value)
    if setting.kind == "yes_no":
        return value if isinstance(value, bool) else setting.default
    if not isinstance(value, str) or (setting.choices and value not in setting.choices):
        return setting.default
    return value
