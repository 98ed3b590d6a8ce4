"""Tables: units in the heads, the four states apart, text that no spreadsheet runs."""

from __future__ import annotations

import csv
import io
import re
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.attacks.hostile import WORDS
from tests.exchange.made_plots import TEXTS, MadePlot
from underboard.core.records import RECORD_TYPES
from underboard.exchange.columns import columns_of
from underboard.exchange.holding import Holding
from underboard.exchange.out.csv_tables import MARK, observations_csv, type_csv
from underboard.exchange.safe_cells import guarded, unguarded

PLOT = "01890000-0000-7000-8000-000000000000"
BOARD = "01890000-0000-7000-8000-000000000001"
# OWASP, "CSV Injection": what a spreadsheet may run, wherever it stands first in a cell.
RUNS = re.compile(r"\s*[=+\-@＝＋－＠\t\r\n]")


def rows_of(text: str) -> list[dict[str, str]]:
    assert text.startswith(MARK)
    return list(csv.DictReader(io.StringIO(text.removeprefix(MARK), newline="")))


def wire(type_name: str, number: int, **body: Any) -> dict[str, Any]:
    id_ = PLOT[:-4] + f"{number:04d}"
    return {"id": id_, "type": type_name, "rev": 1, "body": body, "conflicts": []}


# Letters that matter, often; an alphabet of all of Unicode takes seconds to draw from.
@settings(max_examples=100, deadline=None)
@given(st.text("=+-@＝＋－＠'\t\r\n ab1Größe", max_size=8) | st.sampled_from([*WORDS, *TEXTS]))
@example("=1+1")
@example("''=1")
def test_a_guarded_cell_is_never_run_and_gives_back_what_was_written(text: str) -> None:
    assert RUNS.match(guarded(text)) is None
    assert unguarded(guarded(text)) == text


def test_the_four_states_stay_four_things() -> None:
    counts = [
        wire(
            "slug_count",
            10,
            station_id=BOARD,
            state="counted",
            count=7,
            observed_at="2026-05-03T05:20:00+01:00",
        ),
        wire("slug_count", 11, station_id=BOARD, state="none_found", observed_at="2026-05-04T05:20:00+01:00"),
        wire("slug_count", 12, station_id=BOARD, state="not_turned", observed_at="2026-05-05T05:20:00+01:00"),
        wire(
            "slug_count",
            13,
            station_id=BOARD,
            state="spoiled",
            count=3,
            observed_at="2026-05-06T05:20:00+01:00",
        ),
    ]
    board = {"id": BOARD, "type": "station", "rev": 1, "body": {"label": "B07", "kind": "slug_board"}}
    holding = Holding(PLOT, [*counts, board])
    told = [
        (row["state"], row["count [slugs]"], row["station"])
        for row in rows_of(type_csv(holding, "slug_count"))
    ]
    assert told == [
        ("counted", "7", "B07"),
        ("none_found", "0", "B07"),
        ("not_turned", "", "B07"),
        ("spoiled", "", "B07"),
    ]
    seen = [(row["state"], row["value"], row["unit"]) for row in rows_of(observations_csv(holding))]
    assert seen == [("counted", "7", "slugs"), ("none_found", "0", "slugs"), ("not_turned", "", "slugs"),
                    ("spoiled", "", "slugs")]  # fmt: skip


def test_a_temperature_is_told_in_one_unit_and_as_it_was_typed() -> None:
    reading = wire("temperature", 10, station_id=BOARD, observed_at="2026-05-03T05:20:00+01:00",
                   min={"value": 41, "unit": "degF"}, current={"value": -0.5, "unit": "degC"})  # fmt: skip
    (row,) = rows_of(type_csv(Holding(PLOT, [reading]), "temperature"))
    assert (row["min [°C]"], row["min as entered"], row["current [°C]"]) == ("5.0", "41 degF", "-0.5")
    lows = [
        one for one in rows_of(observations_csv(Holding(PLOT, [reading]))) if one["what"].startswith("lowest")
    ]
    assert [(one["value"], one["unit"], one["value as entered"], one["unit as entered"]) for one in lows] == [
        ("5.0", "°C", "41.0", "degF")
    ]


def test_a_double_count_is_marked_until_somebody_settles_it() -> None:
    walk = wire("round", 9, kind="dawn", observed_at="2026-05-03T05:20:00+01:00")
    both = [
        wire("slug_count", n, station_id=BOARD, round_id=walk["id"], state="counted", count=n,
             observed_at="2026-05-03T05:21:00+01:00") for n in (10, 11)
    ]  # fmt: skip
    assert [row["disputed"] for row in rows_of(observations_csv(Holding(PLOT, [walk, *both])))] == [
        "yes",
        "yes",
    ]
    both[0]["body"]["stands"] = True
    assert [row["disputed"] for row in rows_of(observations_csv(Holding(PLOT, [walk, *both])))] == [
        "no",
        "no",
    ]


@pytest.mark.parametrize("name", [name for name in RECORD_TYPES if name != "plot"])
def test_no_head_is_twice_and_every_field_has_its_column(name: str) -> None:
    columns = columns_of(name)
    heads = [column.head for column in columns]
    assert len(set(heads)) == len(heads)
    assert set(RECORD_TYPES[name].fields) <= {column.field for column in columns}


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32))
def test_no_cell_of_any_table_of_any_plot_is_run(seed: int) -> None:
    made = MadePlot(seed)
    holding = Holding(made.plot_id, made.records)
    for name in RECORD_TYPES:
        for line in csv.reader(io.StringIO(type_csv(holding, name).removeprefix(MARK), newline="")):
            # a number below zero is a number and no formula
            assert [cell for cell in line if RUNS.match(cell) and not re.fullmatch(r"-[\d.e+-]+", cell)] == []
