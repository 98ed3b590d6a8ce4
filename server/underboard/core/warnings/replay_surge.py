"""Slug surges over past rounds of a plot, and alarms over a weekly series from elsewhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from datetime import UTC, date, datetime, timedelta
from itertools import groupby
from statistics import fmean
from typing import Any, Final

from underboard.core.agronomy.surge.surge import surge as surge_of
from underboard.core.warnings.boards_seen import LEFT_OPEN, valid_rounds
from underboard.core.warnings.facts import BoardCount, Facts, PlotFact, RoundFact, StationFact
from underboard.core.warnings.replay import Call, Replayed, facts_at
from underboard.core.warnings.rules import surge
from underboard.core.warnings.terms import Due, chosen

EARS: Final = "EARS C2 (baseline 7, gap 2, alpha 0.001) on the slugs of a round"
EVENT: Final = (
    "this round and the next together with twice as many a board as the twenty valid rounds before them, and at "
    "least ten slugs more (a yardstick of ours: nobody has labelled surges)"
)
#: Rounds that say what was usual, and how many times that is a surge.
BEFORE: Final = 20
TIMES: Final = 2.0
EXCESS: Final = 10
WHOLE: Final = "plot"


def replay_surge(facts: Facts, settings: Mapping[str, Any], first: date, last: date) -> Replayed:
    """Ask the rule again after each valid round between two dates; alarms of the whole plot are judged."""
    rounds = valid_rounds(facts, datetime.max.replace(tzinfo=UTC), len(facts.rounds))
    means = [fmean(board.low for board in one.boards.values()) for one in rounds]
    totals = [sum(board.high for board in one.boards.values()) for one in rounds]
    came = [_came(means, totals, i) for i in range(len(rounds))]
    published = {point.i for point in surge_of("ears_c2", counts=totals).points if point.alarm}
    warned = [
        _warned(facts, settings, one) if first <= one.day <= last and came[i] is not None else False
        for i, one in enumerate(rounds)
    ]
    span = [i for i, one in enumerate(rounds) if first <= one.day <= last and came[i] is not None]
    calls = _calls(rounds, means, span, came, warned, published)
    says = ("The rule says yes or no here, so the Brier score is the share of wrong answers.",)
    return Replayed(surge.NAME, tuple(calls), EARS, EVENT, says)


def _came(means: Sequence[float], totals: Sequence[int], i: int) -> bool | None:
    """Whether a surge was on in round i; None where the rounds around it cannot tell."""
    if i < BEFORE or i + 1 >= len(means):
        return None
    usual, now = fmean(means[i - BEFORE : i]), fmean(means[i : i + 2])
    if usual <= 0 or now < TIMES * usual:
        return False
    return sum(totals[i : i + 2]) * (1 - usual / now) >= EXCESS


def _warned(facts: Facts, settings: Mapping[str, Any], one: RoundFact) -> bool:
    at = one.at + LEFT_OPEN
    known = facts_at(facts, at)
    # Only the newest round is asked about: that an earlier alarm still lasts is no new call.
    return any(
        isinstance(said, Due) and said.key.startswith(f"{WHOLE}:") and said.numbers["round_id"] == one.id
        for said in surge.run(known, settings, at)
    )


def _calls(
    rounds: Sequence[RoundFact],
    means: Sequence[float],
    span: Sequence[int],
    came: Sequence[bool | None],
    warned: Sequence[bool],
    published: Set[int],
) -> list[Call]:
    """One call for each surge, however long it lasts, and one for each quiet round.

    Warnings that go on from one quiet round to the next are one false alarm. The lead is from the first warning
    of a surge to its highest round.
    """
    calls = []
    for event, found in groupby(span, key=lambda i: bool(came[i])):
        run = list(found)
        if not event:
            for i in run:
                again = i - 1 in run
                rule, other = (warned[i] and not (again and warned[i - 1])), i in published
                calls.append(
                    Call(rounds[i].id, rule, False, other and not (again and i - 1 in published), float(rule))
                )
            continue
        peak = max(range(run[0], min(run[-1] + 2, len(rounds))), key=lambda k: means[k])
        first = next((i for i in run if warned[i]), None)
        lead = (
            None if first is None else max(0.0, (rounds[peak].at - rounds[first].at).total_seconds() / 3600)
        )
        hit = first is not None
        calls.append(Call(rounds[run[0]].id, hit, True, any(i in published for i in run), float(hit), lead))
    return calls


def replay_series(counts: Sequence[int], method: str, first: int, last: int) -> Replayed:
    """A weekly series through the rule as one board, beside a published method ("ears_c2", "farrington").

    Weeks from `first` to `last` (counted from 0) are judged, so that methods with a long memory can be compared.
    """
    facts = _series(counts)
    settings = chosen(surge.RULE, None)
    means = [float(count) for count in counts]
    told = surge_of(method, counts=list(counts), alpha=0.01 if method == "farrington" else None, b=3, w=3)
    published = {point.i for point in told.points if point.alarm}
    came = [_came(means, counts, i) for i in range(len(counts))]
    weeks = [i for i in range(first, last + 1) if came[i] is not None]
    warned = [i in weeks and _warned(facts, settings, facts.rounds[i]) for i in range(len(counts))]
    calls = _calls(facts.rounds, means, weeks, came, warned, published)
    names = {"ears_c2": EARS, "farrington": "Farrington 1996 (b = 3, w = 3, alpha 0.01, limit 2/3 power)"}
    says = (
        "Cases of a disease, a week as a round and the country as one board: the method, not slugs, is tried.",
    )
    return Replayed(
        surge.NAME,
        tuple(calls),
        names[method],
        EVENT.replace("round", "week").replace("slugs", "cases").replace("a board ", ""),
        says,
    )


def _series(counts: Sequence[int]) -> Facts:
    begin = datetime(1990, 1, 1, 6, tzinfo=UTC)
    plot = PlotFact(WHOLE, "series", "UTC", None, None, "morning", None)
    board = StationFact("b", "slug_board", None, "b", 1, None, None, None, None, None)
    rounds = []
    for i, count in enumerate(counts):
        at = begin + timedelta(weeks=i)
        boards = {"b": BoardCount(count, count, False)}
        rounds.append(RoundFact(str(i), at, at.date(), True, True, None, None, False, None, boards, 0, 0))
    return Facts(plot, {}, {"b": board}, rounds=tuple(rounds))
