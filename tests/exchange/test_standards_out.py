"""Forms that others read, each against what its standard says and not against our own code."""

from __future__ import annotations

import io
import json
import math
import xml.etree.ElementTree as ET
import zipfile
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from tests.exchange.made_plots import MadePlot
from underboard.core.errors import InputFault
from underboard.exchange.holding import Holding
from underboard.exchange.out.darwin_core import darwin_core
from underboard.exchange.out.sensor_things import write_sensor_things
from underboard.exchange.out.sketch_map import sketch_map

STANDARD = json.loads((Path(__file__).parents[2] / "fixtures/outside/darwin_core.json").read_text("utf-8"))
NOW = datetime(2026, 11, 26, 10, 0, tzinfo=UTC)
PLOT, BED, BOARD, TRAP, GLASS, WALK = (f"01890000-0000-7000-8000-00000000000{n}" for n in range(6))
AT = "2026-05-03T05:20:00+01:00"


def wire(type_name: str, id_: str, **body: Any) -> dict[str, Any]:
    return {"id": id_, "type": type_name, "rev": 1, "body": body, "conflicts": []}


def numbered(number: int) -> str:
    return f"01890000-0000-7000-8000-{number:012d}"


def holding(**plot: Any) -> Holding:
    """A small plot near Greenwich with a count of each state, a trap with a catch and one with none."""
    told = {
        "name": "Ann & Ben's <plot>",
        "time_zone": "Europe/London",
        "latitude": 51.47783,
        "longitude": -0.00149,
    }
    return Holding(PLOT, [
        wire("plot", PLOT, **{**told, **plot}),
        wire("place", BED, kind="bed", label="Bed 3", outline=[[0, 0], [10, 0], [10, 4], [0, 4]]),
        wire("station", BOARD, kind="slug_board", label="B07", place_id=BED, size_m2=0.09, x_m=3, y_m=4),
        wire("station", TRAP, kind="bait_trap", label="T1", place_id=BED, core_diameter_m=0.1),
        wire("station", GLASS, kind="thermometer", label="G1", place_id=BED, exposure="screen"),
        wire("round", WALK, kind="dawn", observed_at=AT, surface="wet", night_low={"value": 41, "unit": "degF"}),
        wire("slug_count", numbered(10), station_id=BOARD, round_id=WALK, state="counted", count=7, observed_at=AT,
             observer="Ann", note="private", taxa=[{"name": "Deroceras reticulatum", "count": 3}]),
        wire("slug_count", numbered(11), station_id=BOARD, state="none_found", observed_at="2026-05-04T05:20:00+01:00"),
        wire("slug_count", numbered(12), station_id=BOARD, state="not_turned", observed_at="2026-05-05T05:20:00+01:00"),
        wire("slug_count", numbered(13), station_id=BOARD, state="spoiled", observed_at="2026-05-06T05:20:00+01:00"),
        wire("trap_catch", numbered(14), station_id=TRAP, set_at="2026-05-01T08:00:00+01:00", state="counted",
             observed_at="2026-05-11T08:00:00+01:00", wireworms=2, millipedes=0, soil={"value": 9.5, "unit": "degC"}),
        wire("trap_catch", numbered(15), station_id=TRAP, state="none_found", observed_at="2026-05-25T08:00:00+01:00"),
        wire("trap_catch", numbered(16), station_id=TRAP, set_at="2026-05-25T08:00:00+01:00"),
        wire("temperature", numbered(17), station_id=GLASS, observed_at=AT, min={"value": -1.5, "unit": "degC"}),
    ])  # fmt: skip


def opened(plot: Holding) -> tuple[ET.Element, ET.Element, dict[str, list[dict[str, str]]]]:
    """The archive as a reader of the standard opens it: guided by meta.xml alone."""
    with zipfile.ZipFile(io.BytesIO(darwin_core(plot, NOW))) as archive:
        meta = ET.fromstring(archive.read("meta.xml"))
        eml = ET.fromstring(archive.read(meta.attrib["metadata"]))
        tables = {}
        for part in meta:
            text = archive.read(part.findtext("{*}files/{*}location") or "").decode(part.attrib["encoding"])
            lines = text.split("\n")[int(part.attrib["ignoreHeaderLines"]) : -1]
            terms = {
                int(field.attrib["index"]): field.attrib["term"].rsplit("/", 1)[1]
                for field in part.findall("{*}field")
            }
            cells = [line.split("\t") for line in lines]
            width = 1 + max(terms)
            assert all(len(row) == width for row in cells)
            id_ = part.find("{*}id") if part.tag.endswith("core") else part.find("{*}coreid")
            assert id_ is not None
            tables[part.attrib["rowType"].rsplit("/", 1)[1]] = [
                {"id": row[int(id_.attrib["index"])], **{terms[n]: row[n] for n in terms}} for row in cells
            ]
    return meta, eml, tables


@pytest.mark.parametrize("seed", [None, 1, 2, 3])
def test_the_archive_keeps_to_the_terms_and_the_text_guide(seed: int | None) -> None:
    made = None if seed is None else MadePlot(seed, size=80)
    meta, _, tables = opened(holding() if made is None else Holding(made.plot_id, made.records))
    assert meta.tag == f"{{{STANDARD['text_namespace']}}}archive"
    assert [part.tag.rsplit("}", 1)[1] for part in meta] == ["core", "extension", "extension"]
    for part in meta:
        assert set(part.attrib) <= set(STANDARD["file_attributes"])
        assert [child.tag.rsplit("}", 1)[1] for child in part][:2] == [
            "files",
            "id" if part is meta[0] else "coreid",
        ]
        for field in part.findall("{*}field"):
            assert set(field.attrib) <= set(STANDARD["field_attributes"])
            space, name = field.attrib["term"].rsplit("/", 1)
            assert space + "/" == STANDARD["namespace"] and name in STANDARD["terms"]
            assert part is not meta[0] or name in STANDARD["event_core"]
    events = [row["eventID"] for row in tables["Event"]]
    assert len(set(events)) == len(events)
    known = set(events)
    assert {row["parentEventID"] for row in tables["Event"]} <= known | {""}
    for name in ("Occurrence", "MeasurementOrFact"):
        assert {row["id"] for row in tables[name]} <= known
    found = [row["occurrenceID"] for row in tables["Occurrence"]]
    assert len(set(found)) == len(found)
    assert {row["basisOfRecord"] for row in tables["Occurrence"]} <= set(STANDARD["basis_of_record"])
    for row in tables["Event"]:  # effort and unit come as pairs
        assert bool(row["sampleSizeValue"]) == bool(row["sampleSizeUnit"])


def test_nothing_found_is_an_absence_and_not_looked_at_is_no_claim() -> None:
    _, _, tables = opened(holding())
    said = {(row["id"], row["vernacularName"] or row["verbatimIdentification"]):
            (row["occurrenceStatus"], row["individualCount"]) for row in tables["Occurrence"]}  # fmt: skip
    assert said == {
        (numbered(10), "slugs"): ("present", "7"),
        (numbered(10), "Deroceras reticulatum"): ("present", "3"),
        (numbered(11), "slugs"): ("absent", "0"),
        (numbered(14), "wireworms"): ("present", "2"),
        (numbered(14), "millipedes"): ("absent", "0"),
        (numbered(15), "wireworms"): ("absent", "0"),
    }
    events = {row["eventID"]: row for row in tables["Event"]}
    assert set(events) == {WALK, *map(numbered, range(10, 16))}  # the trap in the ground is not sampled yet
    assert (
        events[numbered(12)]["samplingEffort"] == "0 boards turned"
        and "no sample" in events[numbered(12)]["eventRemarks"]
    )
    assert events[numbered(10)]["parentEventID"] == WALK
    assert (events[numbered(10)]["sampleSizeValue"], events[numbered(10)]["sampleSizeUnit"]) == (
        "0.09",
        "square metre",
    )
    assert events[numbered(14)]["samplingEffort"] == "1 trap for 10.0 days"
    facts = {(row["id"], row["measurementType"]): (row["measurementValue"], row["measurementUnit"])
             for row in tables["MeasurementOrFact"]}  # fmt: skip
    assert facts[(WALK, "lowest air temperature of the night before")] == ("5", "°C")
    assert facts[(numbered(14), "soil temperature at lifting")] == ("9.5", "°C")


def test_the_place_is_blurred_and_people_and_their_words_stay_at_home() -> None:
    with zipfile.ZipFile(io.BytesIO(darwin_core(holding(), NOW))) as archive:
        text = "\n".join(archive.read(name).decode() for name in archive.namelist())
    assert "51.4778" not in text and "private" not in text and "observer" not in text.replace("observers", "")
    _, eml, tables = opened(holding())
    row = tables["Event"][0]
    assert (row["decimalLatitude"], row["decimalLongitude"], row["coordinatePrecision"]) == (
        "51.48",
        "0",
        "0.01",
    )
    assert row["dataGeneralizations"]
    # the true place lies within what is told as uncertainty: great circle on a sphere of 6371 km
    off = 6371000 * math.radians(math.hypot(51.48 - 51.47783, 0.00149 * math.cos(math.radians(51.48))))
    assert off < float(row["coordinateUncertaintyInMeters"]) < 1000
    box = eml.find(".//boundingCoordinates")
    assert box is not None
    assert (
        float(box.findtext("southBoundingCoordinate") or 0)
        <= 51.47783
        <= float(box.findtext("northBoundingCoordinate") or 0)
    )
    _, _, exact = opened(holding(exact_location=True))
    assert exact["Event"][0]["decimalLatitude"] == "51.47783"


def test_a_beetle_trap_tells_of_grown_beetles_and_an_empty_one_of_no_larvae() -> None:
    pole = numbered(20)
    catches = [
        wire("station", pole, kind="beetle_trap", label="P1", place_id=BED),
        wire("trap_catch", numbered(21), station_id=pole, state="counted", beetles=12, observed_at=AT),
        wire("trap_catch", numbered(22), station_id=pole, state="none_found",
             observed_at="2026-05-13T05:20:00+01:00"),
    ]  # fmt: skip
    plot = holding()
    _, _, tables = opened(Holding(PLOT, [*plot.records, *catches]))
    found = {
        row["id"]: (row["scientificName"], row["lifeStage"], row["individualCount"])
        for row in tables["Occurrence"]
        if row["id"] in (numbered(21), numbered(22))
    }
    assert found == {numbered(21): ("Elateridae", "adult", "12"), numbered(22): ("Elateridae", "adult", "0")}


def test_the_sketch_lies_on_the_globe_as_large_as_it_is_and_turned_as_it_says() -> None:
    found = sketch_map(holding(exact_location=True, north_deg=0))
    json.dumps(found, allow_nan=False)
    (bed,) = [one for one in found["features"] if one["geometry"]["type"] == "Polygon"]
    ring = bed["geometry"]["coordinates"][0]
    assert ring[0] == ring[-1]
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring))
    assert twice > 0  # RFC 7946, 3.1.6: the outer ring goes against the clock
    # A second of arc of latitude at 51.5 degrees is 30.9 m, of longitude 19.3 m (Ordnance Survey, "A guide to
    # coordinate systems in Great Britain", gives the same radii): 10 m east and 4 m south.
    east = (max(x for x, _ in ring) - min(x for x, _ in ring)) * 3600 * 19.3
    north = (max(y for _, y in ring) - min(y for _, y in ring)) * 3600 * 30.9
    assert east == pytest.approx(10, rel=0.005) and north == pytest.approx(4, rel=0.005)
    assert max(y for _, y in ring) == pytest.approx(51.47783) and min(x for x, _ in ring) == pytest.approx(
        -0.00149
    )
    turned = sketch_map(holding(exact_location=True, north_deg=90))  # north is to the right of the page
    (board,) = [one for one in turned["features"] if one["properties"].get("label") == "B07"]
    longitude, latitude = board["geometry"]["coordinates"]
    assert (latitude - 51.47783) * 3600 * 30.9 == pytest.approx(3, rel=0.005)  # 3 m right is 3 m north
    assert (longitude + 0.00149) * 3600 * 19.3 == pytest.approx(4, rel=0.005)  # 4 m down is 4 m east
    assert "51.4778" not in json.dumps(sketch_map(holding()))


def test_a_sketch_without_a_position_is_refused_with_what_to_do() -> None:
    with pytest.raises(InputFault, match="latitude"):
        sketch_map(holding(latitude=None))


def things(plot: Holding) -> list[dict[str, Any]]:
    out = io.BytesIO()
    write_sensor_things(out, plot)
    found: list[dict[str, Any]] = json.loads(out.getvalue())["value"]
    return found


# OGC 18-088, tables 1 to 15: the members each kind of entity must have.
THING = {"name", "description"}
STREAM = {"name", "description", "unitOfMeasurement", "observationType"}
OBSERVATION = {"phenomenonTime", "result", "resultTime"}


def test_sensor_things_have_what_the_standard_demands_and_no_false_zero() -> None:
    (thing,) = things(holding())
    assert set(thing) >= THING and thing["Locations"][0]["location"]["coordinates"] == [0.0, 51.48]
    results = {}
    for stream in thing["Datastreams"]:
        assert set(stream) >= STREAM and set(stream["unitOfMeasurement"]) == {"name", "symbol", "definition"}
        assert set(stream["ObservedProperty"]) >= {"name", "definition", "description"}
        assert set(stream["Sensor"]) >= {"name", "description", "encodingType", "metadata"}
        for one in stream["Observations"]:
            assert set(one) >= OBSERVATION
            results[one["@iot.id"]] = (
                one["result"],
                one["parameters"]["state"],
                stream["unitOfMeasurement"]["symbol"],
            )
    assert results[f"{numbered(10)}/slugs"] == (7, "counted", "{slug}")
    assert results[f"{numbered(11)}/slugs"] == (0, "none_found", "{slug}")
    assert results[f"{numbered(12)}/slugs"] == (None, "not_turned", "{slug}")
    assert results[f"{numbered(17)}/temperature_min"] == (-1.5, "counted", "Cel")
    ids = [stream["@iot.id"] for stream in thing["Datastreams"]]
    assert len(set(ids)) == len(ids)


def test_words_that_attack_stay_words_in_every_form() -> None:
    made = MadePlot(11, size=120)
    plot = Holding(made.plot_id, made.records)
    assert len(things(plot)) == 1
    _, _, tables = opened(plot)  # each row has its columns whatever breaks and tabs the words hold
    assert tables["Event"]
