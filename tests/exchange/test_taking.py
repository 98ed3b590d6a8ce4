"""Files to records: what people really write, what is refused and why, and the way back of our own tables."""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime, time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from tests.exchange.made_plots import MadePlot
from underboard.core.errors import InputFault
from underboard.core.records import RECORD_TYPES
from underboard.exchange.holding import Holding
from underboard.exchange.incoming import Coming, Known
from underboard.exchange.out.csv_tables import type_csv
from underboard.exchange.sheets.cells import Unreadable, date_of, number_of, time_of
from underboard.exchange.sheets.table import read_table
from underboard.exchange.sheets.taking import Preview, preview

PLOT = "01890000-0000-7000-8000-000000000000"
STATIONS = {
    "B1": "slug_board",
    "B2": "slug_board",
    "T1": "bait_trap",
    "G1": "thermometer",
    "G2": "thermometer",
}
IDS = {label: f"01890000-0000-7000-8000-{n:012d}" for n, label in enumerate(STATIONS, 1)}


def wire(type_name: str, id_: str, **body: Any) -> dict[str, Any]:
    return {"id": id_, "type": type_name, "rev": 1, "body": body, "conflicts": []}


def holding(*more: dict[str, Any], **plot: Any) -> Holding:
    told = {"name": "P", "time_zone": "Europe/Berlin", **plot}
    stations = [wire("station", IDS[label], label=label, kind=kind) for label, kind in STATIONS.items()]
    return Holding(PLOT, [wire("plot", PLOT, **told), *stations, *more])


def taken(
    text: str | bytes, plot: Holding | None = None, known: dict[str, Known] | None = None, **wishes: Any
) -> Preview:
    data = text if isinstance(text, bytes) else text.encode()
    return preview(
        data,
        wishes,
        plot or holding(),
        lambda ids: {i: known[i] for i in ids if i in (known or {})} if known else {},
    )


def records(found: Preview, type_name: str) -> list[Coming]:
    return [one for one in found.found.new if one.type == type_name]


def test_a_plain_notebook_of_boards() -> None:
    found = taken(
        "Date,Board,Slugs,Who,Remarks\n3/5/26,b1,7,Ann,wet\n3/5/26,B2,0,Ann,\n14/5/26,B1,x,Ann,frozen\n14/5/26,B2,spoiled,,\n"
    )
    assert found.plan.type == "slug_count" and found.plan.day_first and not found.plan.order_open
    counts = records(found, "slug_count")
    assert [(one.row, one.set["station_id"], one.set["state"], one.set.get("count")) for one in counts] == [
        (2, IDS["B1"], "counted", 7), (3, IDS["B2"], "none_found", None), (4, IDS["B1"], "not_turned", None),
        (5, IDS["B2"], "spoiled", None),
    ]  # fmt: skip
    first = records(found, "slug_count")[0].set
    assert (
        first["observed_at"] == "2026-05-03T06:00:00+02:00"
        and first["observer"] == "Ann"
        and first["note"] == "wet"
    )
    walks = records(found, "round")
    assert [walk.set["observed_at"][:10] for walk in walks] == ["2026-05-03", "2026-05-14"]
    assert {one.set["round_id"] for one in records(found, "slug_count")} == {walk.id for walk in walks}
    assert "06:00" in found.words()


def test_a_column_for_each_board_as_many_keep_it() -> None:
    found = taken("datum;B1;B2\n03.05.2026;4;0\n04.05.2026;;x\n05.05.2026;-;2\n")
    assert [(one.row, one.set["station_id"], one.set["state"]) for one in records(found, "slug_count")] == [
        (2, IDS["B1"], "counted"), (2, IDS["B2"], "none_found"), (3, IDS["B2"], "not_turned"),
        (4, IDS["B2"], "counted"),
    ]  # fmt: skip
    assert found.blank == 1  # an empty cell says nothing, and is no zero
    assert [(one.row, "0 for none found" in one.why) for one in found.found.refused] == [(4, True)]


def test_a_walk_that_the_plot_has_gets_the_counts() -> None:
    walk = wire("round", IDS["B1"][:-2] + "99", kind="dawn", observed_at="2026-05-03T04:10:00Z")
    found = taken("date,board,slugs\n2026-05-03,B1,7\n", holding(walk))
    assert records(found, "round") == []
    assert records(found, "slug_count")[0].set["round_id"] == walk["id"]


def test_a_logger_with_fahrenheit_offsets_and_a_comma_for_the_point() -> None:
    found = taken(
        "Timestamp;Temp (°F);RH\n2026-05-03T05:20:00+01:00;41,5;88\n2026-03-29 02:30;40;90\n", station="g1"
    )
    one, two = records(found, "temperature")
    assert one.set == {
        "observed_at": "2026-05-03T05:20:00+01:00", "station_id": IDS["G1"],
        "current": {"value": 41.5, "unit": "degF"}, "humidity_percent": 88.0,
    }  # fmt: skip
    # Half past two did not exist that night in Berlin: the moment right after the gap.
    assert datetime.fromisoformat(two.set["observed_at"]) == datetime.fromisoformat(
        "2026-03-29T03:00:00+02:00"
    )


def test_the_month_may_come_first_and_who_is_not_sure_is_told() -> None:
    text = "date,board,slugs\n{},B1,7\n"
    assert (
        records(taken(text.format("5/14/2026")), "slug_count")[0].set["observed_at"].startswith("2026-05-14")
    )
    unsure = taken(text.format("5/3/2026"))
    assert unsure.plan.order_open and "day first" in unsure.words()
    assert records(unsure, "slug_count")[0].set["observed_at"].startswith("2026-03-05")
    corrected = taken(text.format("5/3/2026"), day_first=False)
    assert records(corrected, "slug_count")[0].set["observed_at"].startswith("2026-05-03")
    assert "day first" not in corrected.words()


def test_columns_that_were_guessed_wrong_are_corrected() -> None:
    text = "when,nr,beasts\n2026-05-03,B1,7\n"
    assert taken(text).found.new == [] and "1 row or cell says nothing" in taken(text).words()
    found = taken(text, columns={"nr": "station", "3": "count"})
    assert records(found, "slug_count")[0].set["count"] == 7
    with pytest.raises(InputFault, match="slug_count has"):
        taken(text, columns={"nr": "weight"})
    with pytest.raises(InputFault, match="when, nr, beasts"):
        taken(text, columns={"number": "count"})
    with pytest.raises(InputFault, match="one of"):
        taken(text, type="warning")


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("2026-05-03,B9,3", 'no station "B9"'),
        ("2026-05-03,G1,3", 'no station "G1"'),  # a thermometer is no board
        ("2026-13-03,B1,3", "no date"),
        (",B1,3", "no date"),
        ("2026-05-03,B1,many", "no number"),
        ("2026-05-03,B1,3.5", "no whole number"),
        ("2026-05-03,B1,-3", "below zero"),
        ("2026-05-03,B1,10000", "0 to 9999"),
        ("2026-05-03,,3", "which station"),
        ("2026-05-03,B1,–", "is open"),
    ],
)  # fmt: skip
def test_a_row_that_cannot_be_taken_says_why_and_the_others_come_in(row: str, why: str) -> None:
    found = taken(f"date,board,slugs\n{row}\n2026-05-04,B1,1\n")
    assert [(one.row, why in one.why) for one in found.found.refused] == [(2, True)], found.found.refused
    assert len(records(found, "slug_count")) == 1 == len(records(found, "round"))


def test_the_same_board_twice_at_one_time_is_asked_about_and_by_two_people_is_a_double_count() -> None:
    twice = taken("date,board,slugs,by\n2026-05-03,B1,3,Ann\n2026-05-03,B1,4,Ann\n2026-05-03,B1,5,Ben\n")
    assert [one.set["count"] for one in records(twice, "slug_count")] == [3, 5]
    assert "row 2" in twice.found.refused[0].why


def test_what_is_here_is_left_and_what_differs_is_never_overwritten() -> None:
    text = "date,board,slugs\n2026-05-03,B1,7\n"
    (count,) = records(taken(text), "slug_count")
    same = taken(text, known={count.id: Known("slug_count", {**count.set, "note": "more"}, False)})
    assert records(same, "slug_count") == [] and len(same.found.same) == 1
    other = taken(text, known={count.id: Known("slug_count", {**count.set, "count": 8}, False)})
    assert "other values" in other.found.refused[0].why
    back = taken(text, known={count.id: Known("slug_count", {}, True)})
    (again,) = records(back, "slug_count")
    assert again.id != count.id and again.set == count.set


def book(*rows: list[Any]) -> bytes:
    made = Workbook()
    for row in rows:
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def test_a_spreadsheet_with_real_dates_and_numbers() -> None:
    first = datetime(2026, 5, 3)  # noqa: DTZ001 - a spreadsheet knows no zones
    rows = [[first, time(5, 40), "B1", 7], [date(2026, 5, 4), "05:30", "B2", "none"]]
    found = taken(book(["My slugs 2026"], [], ["Date", "Time", "Board", "Slugs"], *rows))
    assert [(one.row, one.set["observed_at"], one.set["state"]) for one in records(found, "slug_count")] == [
        (4, "2026-05-03T05:40:00+02:00", "counted"), (5, "2026-05-04T05:30:00+02:00", "none_found"),
    ]  # fmt: skip


def with_member(data: bytes, name: str, content: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.namelist():
            if member != name:
                new.writestr(member, old.read(member))
        new.writestr(name, content)
    return out.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
LAUGHS = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha">'
    + b"".join(
        b'<!ENTITY a%d "%s">' % (n, b"&a%s;" % (b"" if n == 0 else b"%d" % (n - 1)) * 10) for n in range(9)
    )
    + b']><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row><c t="str">'
    b"<v>&a8;</v></c></row></sheetData></worksheet>"
)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\0\1\2",
        b"PK\x03\x04 no zip",
        b"only one column\n1\n",
        b"a,b\n" + b"1,2\n" * 50_001,
        b"a,b\n" + b'"' + b"x" * 30_000 + b'",2\n',
        b"x" * (13 * 1024 * 1024),
        with_member(book(["a", "b"]), "xl/media/bomb.bin", b"\0" * (100 * 1024 * 1024)),
        with_member(book(["a", "b"]), SHEET, LAUGHS),
        with_member(book(["a", "b"]), SHEET, b"<worksheet"),
        with_member(book(["a", "b"]), "xl/workbook.xml", b"<workbook/>"),
    ],
    ids=range(11),
)
def test_what_is_no_table_or_a_bomb_is_refused_in_words(data: bytes) -> None:
    with pytest.raises(InputFault):
        read_table(data)


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=200).map(str.encode))
def test_any_bytes_give_rows_or_a_sentence(data: bytes) -> None:
    try:
        found = taken(data)
    except InputFault as fault:
        assert fault.detail.endswith(".")
    else:
        assert all(one.why for one in found.found.refused)


@pytest.mark.parametrize(
    ("text", "day_first", "wanted"),
    [
        ("2026-05-03", True, date(2026, 5, 3)), ("3.5.2026", True, date(2026, 5, 3)),
        ("3. 5. 26", True, date(2026, 5, 3)),
        ("05/03/2026", False, date(2026, 5, 3)), ("3 May 2026", True, date(2026, 5, 3)),
        ("Sun, 3rd May 2026", True, date(2026, 5, 3)), ("3. Mai 2026", True, date(2026, 5, 3)),
        ("3 März 2026", True, date(2026, 3, 3)), ("3. Dezember 2026", True, date(2026, 12, 3)),
    ],
)  # fmt: skip
def test_dates_as_people_write_them(text: str, day_first: bool, wanted: date) -> None:
    assert date_of(text, day_first=day_first) == wanted


def test_times_and_numbers_as_people_write_them() -> None:
    assert [time_of(text) for text in ("5:40", "05.40", "5:40 pm", "12:05 AM", "17h05", "5:40 Uhr")] == [
        time(5, 40), time(5, 40), time(17, 40), time(0, 5), time(17, 5), time(5, 40),
    ]  # fmt: skip
    assert [number_of(text) for text in ("3", "3,5", "-0.5", "−2", 4.0)] == [3, 3.5, -0.5, -2, 4]
    for text in ("25:00", "3 o'clock"):
        with pytest.raises(Unreadable):
            time_of(text)


def meaning(body: dict[str, Any]) -> dict[str, Any]:
    """What a table can carry: photos stay in bundles, the import is another one, nothing and "" are one cell."""
    left = {"photos", "import_id"}
    told = {name: value for name, value in body.items() if name not in left and value not in (None, "", [])}
    if body.get("state") in ("none_found", "not_turned", "spoiled") and "station_id" in body:
        told.pop("count", None)
    return told


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 2**32), st.booleans())
def test_our_own_tables_come_back_as_they_left(seed: int, mark: bool) -> None:
    made = MadePlot(seed, size=60)
    plot = Holding(made.plot_id, made.records)
    for name in RECORD_TYPES:
        if name == "plot" or not plot.of(name):
            continue
        data = type_csv(plot, name).encode()
        if not mark:
            data = data.replace(b"\xef\xbb\xbf", b"")  # saved by an editor that leaves the mark out
        found = preview(data, {}, plot, lambda ids: {})
        assert found.plan.type == name and found.plan.own
        assert [one for one in found.found.refused if "slug_count" not in name] == []
        came = {one.id: meaning(dict(one.set)) for one in found.found.new}
        counted = {one["id"]: meaning(one["body"]) for one in plot.of(name)}
        assert came == {id_: counted[id_] for id_ in came}
        assert len(came) + len(found.found.refused) == len(counted)
