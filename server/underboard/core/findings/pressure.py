"""Slug pressure: what each round says, by board and by place, with double counts and gaps kept apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from sys import intern
from typing import Any

from underboard.core.agronomy.counts.count_summary import mean_with_limits
from underboard.core.agronomy.counts.poisson_interval import garwood
from underboard.core.records.counted import Body, all_kept, number_of, standing, worst_of

# A handful of boards cannot show how slugs clump: the limit would run off to thousands. Up to here the exact
# Poisson interval stands, and its name says so. Common practice, no source.
FEWEST_BOARDS = 6
LEVEL = 0.95
ByStation = dict[str, tuple[Body, ...]]


@dataclass(frozen=True)
class RoundPressure:
    """One round. Means are slugs a board over boards with one undisputed number.

    `low` and `high` are the 95 % interval of the mean (None without enough boards to say); `model` says
    from which distribution. `double_counts` are boards with two numbers and nobody's word yet which stands:
    they are left out of the mean, and `worst_total` counts them, and open conflicts, at their highest.
    `kept_both` are boards of which a person said that nobody can tell; out of the mean too, and nothing to settle.
    """

    round_id: str
    observed_at: str
    valid: bool
    not_valid_reason: str | None
    n_boards: int
    total: int
    worst_total: int
    mean: float | None
    low: float | None
    high: float | None
    model: str | None
    not_turned: int
    spoiled: int
    double_counts: tuple[str, ...]
    kept_both: tuple[str, ...]
    disputed: tuple[str, ...]
    by_place: Mapping[str, float]


def slug_pressure(
    rounds: Iterable[Body], counts: Iterable[Body], stations: Iterable[Body]
) -> list[RoundPressure]:
    """Return every dawn round in order of time.

    Parameters
    ----------
    rounds, counts, stations
        Records in the form of pull: `id`, `body`, `conflicts`; deleted ones left out. Counts may come one after
        the other: of each only what is asked is kept.
    """
    place_of = {station["id"]: station["body"].get("place_id") for station in stations}
    of_round: dict[str, ByStation] = defaultdict(dict)
    alike: dict[tuple[Any, ...], tuple[Body, ...]] = {}
    for count in counts:
        body = count["body"]
        boards, board = of_round[str(body.get("round_id"))], intern(str(body.get("station_id")))
        said = _in_short(count, alike)
        boards[board] = boards[board] + said if board in boards else said
    walked = [walk for walk in rounds if walk["body"].get("kind") == "dawn"]
    walked.sort(key=lambda walk: str(walk["body"].get("observed_at")))
    return [_round(walk, of_round[walk["id"]], place_of) for walk in walked]


def _in_short(count: Body, alike: dict[tuple[Any, ...], tuple[Body, ...]]) -> tuple[Body, ...]:
    """What is asked of a count, and its id while it is disputed, as the one of its board; those that say the same are
    one object."""
    said = {name: count["body"].get(name) for name in ("state", "count", "stands", "set_aside")}
    if count.get("conflicts"):
        return ({"id": count["id"], "conflicts": count["conflicts"], "body": said},)
    return alike.setdefault(tuple(said.values()), ({"body": said},))


def _round(walk: Body, by_station: ByStation, place_of: Mapping[str, str | None]) -> RoundPressure:
    numbers: dict[str, int] = {}
    states: dict[str, str] = {}
    doubles: list[str] = []
    kept: list[str] = []
    for station_id, records in by_station.items():
        record, double = standing(records)
        if double:
            (kept if all_kept(records) else doubles).append(station_id)
        elif record is not None:
            states[station_id] = str(record["body"].get("state"))
            number = number_of(record)
            if number is not None:
                numbers[station_id] = number
    body = walk["body"]
    mean, low, high, model = _mean(list(numbers.values()))
    return RoundPressure(
        round_id=walk["id"],
        observed_at=str(body.get("observed_at")),
        valid=body.get("valid") is not False,
        not_valid_reason=body.get("not_valid_reason"),
        n_boards=len(numbers),
        total=sum(numbers.values()),
        worst_total=sum(worst_of(records) for records in by_station.values()),
        mean=mean,
        low=low,
        high=high,
        model=model,
        not_turned=sum(state == "not_turned" for state in states.values()),
        spoiled=sum(state == "spoiled" for state in states.values()),
        double_counts=tuple(sorted(doubles)),
        kept_both=tuple(sorted(kept)),
        disputed=tuple(
            sorted(one["id"] for records in by_station.values() for one in records if one.get("conflicts"))
        ),
        by_place=_by_place(numbers, place_of),
    )


def _mean(numbers: list[int]) -> tuple[float | None, float | None, float | None, str | None]:
    """Return mean, limits and the law they stand on; all None without a number."""
    if not numbers:
        return None, None, None, None
    if len(numbers) >= FEWEST_BOARDS:
        found = mean_with_limits(numbers)
        if found.clumped:
            return found.mean, found.low, found.high, "negative-binomial"
    low, high = garwood(sum(numbers), LEVEL)
    n = len(numbers)
    return sum(numbers) / n, low / n, high / n, "poisson"


def _by_place(numbers: Mapping[str, int], place_of: Mapping[str, str | None]) -> dict[str, float]:
    of_place: dict[str, list[int]] = defaultdict(list)
    for station_id, number in numbers.items():
        of_place[place_of.get(station_id) or ""].append(number)
    return {place: sum(found) / len(found) for place, found in sorted(of_place.items())}
