"""What holds for every rule: it can be set to its bounds, be written down and read back, and does not fidget."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache

import pytest

from tests.core.warnings.demo_plot import PLOT, demo_records, digest_of_records
from underboard.core.records.check import check_set
from underboard.core.warnings import RULES
from underboard.core.warnings.compact import mark_of
from underboard.core.warnings.decide import body_of, decide
from underboard.core.warnings.facts import DeviceFact, Facts, HouseFacts
from underboard.core.warnings.facts_of import facts_of
from underboard.core.warnings.terms import Due, Held, Rule, Setting, chosen

DAYS = (date(2025, 4, 16), date(2025, 9, 30), date(2026, 3, 31), date(2026, 5, 24), date(2026, 6, 25),
        date(2026, 8, 31), date(2026, 10, 31))  # fmt: skip


@cache
def facts_on(day: date) -> Facts:
    """The demo as it was known at noon of a day."""
    until = f"{day.isoformat()}T12:00:00"
    records = [
        one
        for one in demo_records()
        if str(one["body"].get("observed_at") or one["body"].get("set_at") or "")[:19] <= until
    ]
    now = noon(day)
    house = HouseFacts(
        devices=(DeviceFact("d", "Old phone", "cookie", now - timedelta(days=30)),),
        first_record_at=now - timedelta(days=200),
        certificate_ends_at=now + timedelta(days=20),
    )
    return facts_of(digest_of_records(records), house)


def noon(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 12, tzinfo=UTC)


def bounds(setting: Setting) -> Iterator[object]:
    if setting.kind in ("number", "whole"):
        yield from (value for value in (setting.low, setting.high) if value is not None)
    elif setting.kind == "yes_no":
        yield from (True, False)
    elif setting.kind == "choice":
        yield from setting.choices
    else:
        yield from ("", "no such thing", setting.default)


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_a_rule_and_its_settings_are_told_in_full(rule: Rule) -> None:
    assert rule.title and rule.question.endswith("?") and rule.source and RULES[rule.name] is rule
    for one in rule.settings:
        assert one.doc.endswith((".", ")")) and one.name.islower()
        if one.kind in ("number", "whole"):
            assert one.low is not None and one.high is not None and one.low < one.high
            assert one.default is None or one.low <= one.default <= one.high
        if one.kind == "choice":
            assert one.default in one.choices
    defaults = {one.name: one.default for one in rule.settings}
    assert chosen(rule, None) == defaults
    unfit = {one.name: {"a": 1} for one in rule.settings}
    assert chosen(rule, unfit) == defaults
    assert chosen(rule, {one.name: (one.high or 0) + 1e9 for one in rule.settings}) == defaults


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_settings_at_their_bounds_break_nothing(rule: Rule) -> None:
    for day in DAYS[::2]:
        for one in rule.settings:
            for value in bounds(one):
                settings = chosen(rule, {one.name: value})
                assert settings[one.name] == value or value is None
                said = list(rule.run(facts_on(day), settings, noon(day)))
                assert said and all(isinstance(each, Due | Held) for each in said), (one.name, value)


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_every_answer_is_fit_to_be_written_down(day: date) -> None:
    now = noon(day)
    decision = decide(facts_on(day), now, RULES.values())
    assert {one.rule for one in (*decision.due, *decision.held)} == set(RULES)
    keys = [(one.rule, one.key) for one in decision.due]
    assert len(keys) == len(set(keys))
    for due in decision.due:
        stamp = {"raised_at": now.isoformat(), "updated_at": now.isoformat()}
        body = json.loads(json.dumps({**body_of(due, {}), **stamp}, allow_nan=False))
        assert check_set("warning", body, creating=True) == []
        assert due.window_start < due.window_end and due.window_start.tzinfo and due.headline.endswith(".")
        assert due.why and due.advice and len(due.headline) <= 300
        places = set(facts_on(day).places)
        assert set(due.place_ids) <= places
    for held in decision.held:
        assert held.why_not.strip() and "None" not in held.why_not


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_the_clock_alone_changes_nothing_that_people_see(day: date) -> None:
    """With no new record a warning stays word for word as it is, however often it is looked at."""
    facts = facts_on(day)
    seen: dict[tuple[str, str], str] = {}
    for hours in (0, 1, 5, 11, 13, 24, 30, 36, 48, 70):
        now = noon(day) + timedelta(hours=hours)
        for due in decide(facts, now, OWN).due:
            mark = mark_of(body_of(due, {}))
            assert seen.setdefault((due.rule, due.key), mark) == mark, (due.rule, hours, due.headline)
    assert seen


# The rules of tonight follow the hours of the night on purpose; they have tests of their own.
OWN = tuple(rule for rule in RULES.values() if rule.group != "tonight")


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_the_order_of_arrival_leaves_no_trace(day: date) -> None:
    until = day.isoformat()
    records = [
        one
        for one in demo_records()
        if str(one["body"].get("observed_at") or one["body"].get("set_at") or "")[:10] <= until
    ]
    first = facts_of(digest_of_records(records))
    random.Random(day.toordinal()).shuffle(records)
    shuffled = facts_of(digest_of_records(records))
    assert decide(shuffled, noon(day), RULES.values()) == decide(first, noon(day), RULES.values())


@pytest.mark.parametrize("rule", OWN, ids=lambda rule: rule.name)
def test_a_rule_on_an_empty_plot_says_why_it_is_silent(rule: Rule) -> None:
    plot = next(one for one in demo_records() if one["type"] == "plot")
    empty = facts_of(digest_of_records([plot]))
    assert empty.plot.id == PLOT and empty.rounds == ()
    for day in DAYS:
        said = list(rule.run(empty, chosen(rule, None), noon(day)))
        assert said and all(isinstance(one, Held) and one.why_not for one in said)


def test_a_rule_that_is_off_is_not_asked() -> None:
    from underboard.core.warnings.facts import WatchFact

    facts = facts_on(DAYS[5])
    off = WatchFact("w", "surge", False, {}, None, None, None)
    decision = decide(replace(facts, watches={"surge": off}), noon(DAYS[5]), RULES.values())
    assert "surge" not in {one.rule for one in decision.due}
    assert "Switched off" in next(one.why_not for one in decision.held if one.rule == "surge")
