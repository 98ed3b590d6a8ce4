"""Are there more slugs than usual, on the whole plot or in one part of it?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from underboard.core.agronomy.surge.boards import ENOUGH, FIRST, USUAL_ALPHA, WINDOWS, watch_boards
from underboard.core.agronomy.surge.point import Point
from underboard.core.agronomy.surge.times_usual import times_usual
from underboard.core.warnings.boards_seen import counted_by, in_use, part_boards, valid_rounds
from underboard.core.warnings.episode import lasting_key, recent
from underboard.core.warnings.facts import Facts, RoundFact
from underboard.core.warnings.plot_time import DAY, at_clock, end_of, today_of
from underboard.core.warnings.rules.surge_words import Risen, due_words, part_words
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words, times

NAME = "surge"
#: The method forgets rounds beyond 40, and needs the ones before the newest few.
MOST_ROUNDS = 48
#: It lasts until so many valid rounds in a row were quiet.
QUIET_ROUNDS = 2
#: An alarm is confirmed with the rounds before it judged too: windows must not reach back past an alarm.
CONFIRM_ROUNDS = 4
#: Between alpha in each window and false alarms in quiet rounds: 0.0115 is about one in sixty (HONESTY.md).
USUAL_ONE_IN = 60
#: So many times the usual, at the cautious end, is severe (common practice, no source).
SEVERE_TIMES = 3.0


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer the plot, and each part with three boards or more that rises while the plot does not."""
    rounds = valid_rounds(facts, now, MOST_ROUNDS)
    quiet = _nothing_to_judge(facts, settings, rounds, now)
    if quiet:
        yield Held(rule=NAME, why_not=quiet)
        return
    alpha = USUAL_ALPHA * USUAL_ONE_IN / settings["one_false_in"]
    whole = _look("plot", None, rounds, alpha)
    parts = []
    places = part_boards(facts, rounds[-1].day)
    for place_id, boards in places.items():
        # So many parts have so many chances of a false alarm: they share what one would be allowed.
        found = _look(place_id, boards, rounds, alpha / len(places))
        if isinstance(found, Risen):
            parts.append(found)
        else:
            yield Held(rule=NAME, key=place_id, why_not=f"{facts.label(place_id)}: {found}")
    if isinstance(whole, Risen):
        yield _due(facts, whole, parts, settings, now)
        for part in parts:
            yield Held(
                rule=NAME,
                key=part.scope,
                why_not=f"{facts.label(part.scope)}: told with the warning for the whole plot.",
            )
        return
    yield Held(rule=NAME, why_not=whole)
    for part in parts:
        yield _due(facts, part, (), settings, now)


def _nothing_to_judge(
    facts: Facts, settings: Mapping[str, Any], rounds: Sequence[RoundFact], now: datetime
) -> str | None:
    if len(rounds) <= FIRST:
        need = f"{FIRST} earlier valid rounds are needed"
        return f"{times(len(rounds), 'valid round')} so far; {need} to know what is usual."
    last = rounds[-1].day
    if (today_of(facts, now) - last).days > settings["current_days"]:
        return f"The last valid round was on {day_words(last)}, too long ago to speak of now."
    return None


def _look(scope: str, boards: Sequence[str] | None, rounds: Sequence[RoundFact], alpha: float) -> Risen | str:
    """What the newest rounds of some boards (None: all) say; a sentence when there is nothing to warn about."""
    seen = [one for one in rounds if counted_by(one, boards)]
    if len(seen) <= FIRST:
        return f"{times(len(seen), 'valid round')} so far, which is too few."
    if seen[-1].day < rounds[-1].day:
        return f"its boards were last counted on {day_words(seen[-1].day)}, not in the newest round."
    ids = sorted(in_use(seen) if boards is None else boards)
    # At worst: of a disputed board the higher number where it may be an alarm, the lower where it is a yardstick.
    rows = tuple(
        tuple(_worst(one, board, late) for board in ids)
        for one, late in ((one, i >= len(seen) - QUIET_ROUNDS) for i, one in enumerate(seen))
    )
    points = _watched(rows, alpha, QUIET_ROUNDS)
    if any(point.alarm for point in points):
        points = _watched(rows, alpha, CONFIRM_ROUNDS)[-QUIET_ROUNDS:]
    alarms = [point for point in points if point.alarm]
    last = points[-1]
    if not alarms:
        return (
            f"{last.count:.0f} slugs on {day_words(seen[-1].day)}; these boards usually have "
            f"{last.expected or 0:.0f}, and up to {last.limit:.0f} is no surprise."
        )
    at = alarms[-1].i
    # One round may raise the alarm, or two or three together: what stands out most is what is told.
    windows = [times_usual(rows[: at + 1], newest=n) for n in range(1, WINDOWS + 1)]
    together, found = min(
        ((n, one) for n, one in enumerate(windows, 1) if one.p_so_many is not None),
        key=lambda pair: pair[1].p_so_many or 0.0,
    )
    return Risen(
        scope=scope,
        boards=tuple(ids),
        newest=seen[at],
        together=together,
        first=seen[alarms[0].i],
        found=found,
        limit=alarms[-1].limit,
        lasting=at == len(seen) - 1,
        disputed=sum(seen[at].boards[one].disputed for one in ids if one in seen[at].boards),
    )


@lru_cache(maxsize=256)
def _watched(rows: tuple[tuple[int | None, ...], ...], alpha: float, newest: int) -> tuple[Point, ...]:
    """The job asks every quarter of an hour, and most of the time no round has come since."""
    return tuple(watch_boards(rows, alpha, newest=newest))


def _worst(one: RoundFact, board: str, late: bool) -> int | None:
    count = one.boards.get(board)
    return None if count is None else count.high if late else count.low


def _due(
    facts: Facts, risen: Risen, parts: Sequence[Risen], settings: Mapping[str, Any], now: datetime
) -> Due:
    found = risen.found
    key, begun = lasting_key(facts, NAME, risen.scope, risen.first.day, now)
    where = "the plot" if risen.scope == "plot" else facts.label(risen.scope)
    words = due_words(facts, risen, where, begun)
    ends = risen.newest.day + settings["current_days"] * DAY
    return Due(
        rule=NAME,
        key=key,
        window_start=at_clock(facts, begun),
        window_end=end_of(facts, ends),
        severity="Severe" if (found.low or 0) >= SEVERE_TIMES else "Moderate",
        urgency="Expected",
        certainty="Likely" if found.n_rounds >= ENOUGH else "Possible",
        headline=words.headline,
        why=" ".join([words.why, *(part_words(facts.label(part.scope), part.found) for part in parts)]),
        advice=words.advice,
        caution=words.caution,
        numbers=_numbers(risen, begun, parts),
        place_ids=tuple(part.scope for part in parts) if risen.scope == "plot" else (risen.scope,),
        station_ids=() if risen.scope == "plot" else risen.boards,
        # Right after a surge of the whole plot a part of it is no news to be woken by.
        loud=risen.scope == "plot" or not recent(facts, NAME, "plot", now),
    )


def _numbers(risen: Risen, begun: date, parts: Sequence[Risen]) -> dict[str, Any]:
    found = risen.found
    return {
        "round_id": risen.newest.id,
        "round_on": risen.newest.day.isoformat(),
        "rounds_together": risen.together,
        "since": begun.isoformat(),
        "boards": sum(one in risen.newest.boards for one in risen.boards),
        "slugs": found.count,
        "usual_slugs": found.expected,
        "limit_slugs": risen.limit,
        "times_usual": found.times,
        "times_usual_low": found.low,
        "times_usual_high": found.high,
        "chance_if_nothing_changed": found.p_so_many,
        "earlier_rounds": found.n_rounds,
        "disputed_boards": risen.disputed,
        "parts": {part.scope: part.found.times for part in parts},
    }


RULE = Rule(
    name=NAME,
    title="Slug surge",
    question="Are there more slugs than usual, and where?",
    group="pests",
    source="our own, judged by simulation (HONESTY.md); gamma prior after Clayton & Kaldor 1987, Biometrics 43:671",
    run=run,
    settings=(
        Setting(
            name="one_false_in",
            kind="whole",
            default=USUAL_ONE_IN,
            unit="quiet rounds",
            low=20,
            high=1000,
            doc="Accept one false alarm in so many quiet rounds: fewer is more watchful (simulated at 60).",
        ),
        Setting(
            name="current_days",
            kind="whole",
            default=10,
            unit="days",
            low=2,
            high=30,
            doc="A round older than this is no longer news (common practice, no source).",
        ),
    ),
)
