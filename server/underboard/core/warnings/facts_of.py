"""From a digest to the facts that rules read. Cost follows what the digest holds, not the plot's history."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from underboard.core.records.derived import trap_validity
from underboard.core.records.kinds import read_instant
from underboard.core.warnings.digest import Digest
from underboard.core.warnings.facts import (
    CatchFact,
    CropFact,
    EveningFact,
    Facts,
    HouseFacts,
    NightFact,
    PairFact,
    PlaceFact,
    PlotFact,
    ReplyFact,
    SampleFact,
    StandingFact,
    StationFact,
    TreatmentFact,
    WatchFact,
)
from underboard.core.warnings.nights import nights_of, pairs_of, readings_of
from underboard.core.warnings.rounds import rounds_of

Entry = Mapping[str, Any]


#: The costly parts of the facts, and the types whose entries they are made from.
_OF_NIGHTS = frozenset({"temperature", "evening", "station", "place"})
_OF_ROUNDS = frozenset({"round", "slug_count"})


def facts_of(
    digest: Digest,
    house: HouseFacts | None = None,
    before: Facts | None = None,
    moved: AbstractSet[str] = frozenset(),
) -> Facts:
    """Return what rules read of the plot.

    Parameters
    ----------
    before, moved
        Facts of the same digest before entries of the types `moved` changed, and nothing else did: what does not
        depend on those is taken over.
    """
    entries = digest.entries
    if before is not None and moved.isdisjoint(_OF_NIGHTS):
        readings, nights, pairs = before.readings, before.nights, dict(before.pairs)
    else:
        found = readings_of(entries["temperature"], entries["station"])
        fresh = nights_of(entries["evening"], found, entries["station"], entries["place"])
        readings, nights = tuple(found), _joined_nights(digest, fresh)
        pairs = _joined_pairs(digest, pairs_of(found, entries["station"], entries["place"]))
    if before is not None and moved.isdisjoint(_OF_ROUNDS):
        rounds = before.rounds
    else:
        rounds = rounds_of(entries["round"], entries["slug_count"])
    places = {
        id_: PlaceFact(
            id=id_,
            kind=e["kind"],
            label=e["label"],
            area_m2=e["area_m2"],
            broken_year=e.get("broken_year"),
            neighbours=tuple(sorted(e.get("neighbours") or ())),
        )
        for id_, e in sorted(entries["place"].items())
        if not e.get("archived")
    }
    return Facts(
        plot=_plot(digest),
        places=places,
        stations={id_: _station(id_, e) for id_, e in sorted(entries["station"].items())},
        evenings=_in_order(_evening(id_, e) for id_, e in entries["evening"].items()),
        readings=readings,
        rounds=rounds,
        catches=tuple(_catch(id_, e) for id_, e in sorted(entries["trap_catch"].items(), key=_by_day)),
        samples=_in_order(_sample(id_, e) for id_, e in entries["soil_sample"].items()),
        treatments=_in_order(_treatment(id_, e) for id_, e in entries["treatment"].items()),
        crops=_crops(entries["crop"], entries["crop_event"]),
        nights=nights,
        pairs=pairs,
        watches=_watches(entries["watch"]),
        standing=tuple(_standing(id_, e) for id_, e in sorted(entries["warning"].items())),
        replies=_in_order(_reply(id_, e) for id_, e in entries["warning_reply"].items()),
        since=min(
            (read_instant(e["since"]) for e in entries["learned"].values() if "since" in e), default=None
        ),
        house=house or HouseFacts(),
    )


def without_standing(facts: Facts) -> Facts:
    """Return the same facts as if nothing had ever been raised or answered; for replay."""
    return replace(facts, standing=(), replies=())


def _by_day(item: tuple[str, Entry]) -> tuple[str, str]:
    return item[1]["day"], item[0]


def _in_order(found: Any) -> tuple[Any, ...]:
    return tuple(sorted(found, key=lambda one: (one.at, one.id)))


def _plot(digest: Digest) -> PlotFact:
    body = digest.plot
    return PlotFact(
        id=digest.plot_id,
        name=body.get("name") or "",
        time_zone=body.get("time_zone") or "UTC",
        latitude=body.get("latitude"),
        longitude=body.get("longitude"),
        habit=body.get("reading_habit") or "morning",
        grass_out_year=body.get("grass_out_year"),
    )


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def _at(text: str | None) -> datetime | None:
    return None if text is None else read_instant(text)


def _station(id_: str, e: Entry) -> StationFact:
    return StationFact(
        id=id_,
        kind=e["kind"],
        place_id=e.get("place_id"),
        label=e["label"],
        walk_order=e.get("walk_order", 0),
        exposure=e.get("exposure"),
        depth_m=e.get("depth_m"),
        core_diameter_m=e.get("core_diameter_m"),
        set_on=_day(e.get("set_on")),
        retired_on=_day(e.get("retired_on")),
    )


def _evening(id_: str, e: Entry) -> EveningFact:
    night = date.fromisoformat(e["day"])
    return EveningFact(id_, read_instant(e["at"]), night, e["place"], e["air"], e["dew"], e["sky"], e["wind"])


def _catch(id_: str, e: Entry) -> CatchFact:
    set_at, lifted_at = _at(e["set"]), _at(e["at"])
    judged = lifted_at and trap_validity(
        set_at=set_at, lifted_at=lifted_at, soil_c=e["soil"], state=e["state"] or "counted"
    )
    return CatchFact(
        id=id_,
        station_id=e["s"],
        set_at=set_at,
        lifted_at=lifted_at,
        state=e["state"],
        wireworms=e["n"],
        soil_c=e["soil"],
        valid=judged.valid if judged else None,
        flaws=judged.flaws if judged else (),
        rebaited=e["again"],
    )


def _sample(id_: str, e: Entry) -> SampleFact:
    return SampleFact(id_, read_instant(e["at"]), e["place"], e["cores"], e["d"], e["n"], e["how"])


def _treatment(id_: str, e: Entry) -> TreatmentFact:
    return TreatmentFact(
        id=id_,
        at=read_instant(e["at"]),
        day=date.fromisoformat(e["day"]),
        kind=e["kind"],
        place_ids=tuple(e["places"]),
        control_place_ids=tuple(e["controls"]),
        product=e["product"],
        moisture=e["moisture"],
        soil_c=e["soil"],
    )


def _crops(crops: Mapping[str, Entry], events: Mapping[str, Entry]) -> tuple[CropFact, ...]:
    of_crop: dict[str, list[tuple[date, str, str | None, str | None]]] = defaultdict(list)
    for event in events.values():
        on = date.fromisoformat(event["on"])
        of_crop[event["crop"]].append((on, event["what"] or "", event.get("stage"), event.get("place")))
    return tuple(
        CropFact(
            id=id_,
            kind=e["kind"],
            place_id=e.get("place_id"),
            variety=e.get("variety"),
            started_on=_day(e.get("started_on")),
            ended_on=_day(e.get("ended_on")),
            events=tuple(sorted(of_crop[id_], key=lambda event: (event[0], event[1], event[2] or ""))),
        )
        for id_, e in sorted(crops.items())
    )


def _joined_nights(digest: Digest, fresh: list[NightFact]) -> tuple[NightFact, ...]:
    folded = [NightFact(date.fromisoformat(n), *rest) for n, *rest in digest.nights]
    return tuple(folded + [one for one in fresh if one.night >= digest.cut])


def _joined_pairs(digest: Digest, fresh: Mapping[str, list[PairFact]]) -> dict[str, tuple[PairFact, ...]]:
    found = {}
    for place_id in sorted({*digest.pairs, *fresh}):
        folded = [PairFact(date.fromisoformat(n), *rest) for n, *rest in digest.pairs.get(place_id, ())]
        newer = [one for one in fresh.get(place_id, ()) if one.night >= digest.cut]
        found[place_id] = tuple(folded + newer)
    return found


def _watches(entries: Mapping[str, Entry]) -> dict[str, WatchFact]:
    """One a rule; of two records the one with the smallest id, so that all phones choose alike."""
    found: dict[str, WatchFact] = {}
    for id_, e in sorted(entries.items()):
        channels = e.get("channels")
        one = WatchFact(
            id=id_,
            rule=e["rule"],
            on=e.get("on"),
            settings=e.get("settings") or {},
            quiet_from=e.get("quiet_from"),
            quiet_to=e.get("quiet_to"),
            channels=None if channels is None else tuple(channels),
        )
        found.setdefault(one.rule, one)
    return found


def _standing(id_: str, e: Entry) -> StandingFact:
    return StandingFact(
        id=id_,
        rule=e["rule"],
        key=e.get("key") or "",
        raised_at=read_instant(e["raised_at"]),
        window_start=_at(e.get("window_start")),
        window_end=_at(e.get("window_end")),
        ended_at=_at(e.get("ended_at")),
        severity=e.get("severity"),
        numbers=e.get("numbers") or {},
        mark=e["mark"],
        loud=e["loud"],
    )


def _reply(id_: str, e: Entry) -> ReplyFact:
    return ReplyFact(
        id=id_,
        warning_id=e["warning_id"],
        at=read_instant(e["at"]),
        seen=bool(e.get("seen")),
        acted=bool(e.get("acted")),
        outcome=e.get("outcome"),
    )
