"""`underboard.client` against a real server over HTTP."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest
from werkzeug.serving import make_server

from tests.attacks.household import Household, household
from underboard.client import ApiError, NoAnswer, Plot, Reading
from underboard.store import people
from underboard.web.services import utc_now

AT = "2026-05-03T05:20:00+01:00"
BOARD, GLASS = "01890000-0000-7000-8000-00000000c001", "01890000-0000-7000-8000-00000000c002"


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Iterator[Household]:
    with household(tmp_path_factory.mktemp("client"), migrated_sqlite) as made:
        yield made


@pytest.fixture(scope="module")
def plot(house: Household) -> Iterator[Plot]:
    """The plot, joined by a code as a script would."""
    server = make_server("127.0.0.1", 0, house.app, threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    with house.app.app_context():
        code = people.new_code(house.plot_id, "owner", utc_now(), typed=True).code
    made = Plot.pair(f"http://127.0.0.1:{server.port}", code, "notebook")
    made.add("plot", {"name": "Home", "time_zone": "Europe/London"}, made.plot_id)
    made.add("station", {"kind": "slug_board", "label": "B1"}, BOARD)
    made.add("station", {"kind": "thermometer", "label": "G1"}, GLASS)
    yield made
    server.shutdown()
    thread.join(10)
    server.server_close()


def test_records_are_made_read_and_changed_and_a_clash_is_told(plot: Plot) -> None:
    count = plot.add("slug_count", {"station_id": BOARD, "state": "counted", "count": 7, "observed_at": AT})
    (read,) = [one for one in plot.records("slug_count") if one.id == count["id"]]
    assert read.body["count"] == 7 and read.rev == 1
    assert plot.change(read, {"count": 8})["status"] == "applied"
    assert plot.change(read, {"count": 9})["status"] == "conflict"  # made from what it was before
    assert [one.conflicts[0]["set"] for one in plot.records("slug_count")] == [{"count": 9}]
    with pytest.raises(ApiError, match="0 to 9999") as fault:
        plot.add("slug_count", {"station_id": BOARD, "state": "counted", "count": -1, "observed_at": AT})
    assert fault.value.errors[0]["pointer"] == "/set/count"


def test_readings_may_be_sent_twice(plot: Plot) -> None:
    reading = Reading(
        GLASS, datetime(2026, 5, 3, 5, 20, tzinfo=UTC), current=41, unit="degF", humidity_percent=88
    )
    assert [one["status"] for one in plot.send_readings([reading])] == ["applied"]
    assert [one["status"] for one in plot.send_readings([reading])] == ["duplicate"]
    with pytest.raises(ValueError, match="zone"):
        Reading(GLASS, datetime(2026, 5, 3), current=1).as_json()  # noqa: DTZ001 - that is what is refused


def test_a_frame_has_times_and_floats_and_no_false_zero(plot: Plot) -> None:
    at = "2026-05-04T05:20:00+01:00"
    five = plot.add("slug_count", {"station_id": BOARD, "state": "counted", "count": 5, "observed_at": at})
    none = plot.add("slug_count", {"station_id": BOARD, "state": "none_found", "observed_at": at})
    shut = plot.add("slug_count", {"station_id": BOARD, "state": "not_turned", "observed_at": at})
    plot.send_readings([Reading(GLASS, datetime(2026, 5, 4, 5, 20, tzinfo=UTC), current=41, unit="degF")])
    table = plot.frame()
    slugs = table.set_index("record_id")["value"]
    assert (slugs[five["id"]], slugs[none["id"]]) == (5.0, 0.0) and slugs.isna()[shut["id"]]
    assert str(table["seen at"].dt.tz) == "UTC"
    warm = table[table["unit"] == "°C"].iloc[0]
    assert (warm["value"], warm["value as entered"], warm["unit as entered"]) == (5.0, 41.0, "degF")
    assert len(table) == len(plot.observations())


def test_files_go_out_whole_and_come_in_and_back(plot: Plot, tmp_path: Path) -> None:
    assert plot.save_export("bundle", tmp_path / "p.zip").read_bytes().startswith(b"PK")
    assert plot.save_report("products", tmp_path / "p.pdf", year=2026).read_bytes().startswith(b"%PDF-")
    with pytest.raises(ApiError) as fault:
        plot.save_export("papyrus", tmp_path / "x")
    assert fault.value.status == 404 and sorted(path.name for path in tmp_path.iterdir()) == [
        "p.pdf",
        "p.zip",
    ]
    notebook = tmp_path / "old.csv"
    notebook.write_text("when,nr,beasts\n2025-05-03,B1,3\n", encoding="utf-8")
    shown = plot.look_at_file(notebook, columns={"nr": "station", "beasts": "count"})
    assert shown["would_take"] == {"round": 1, "slug_count": 1}
    taken = plot.take_file(notebook, columns={"nr": "station", "beasts": "count"})
    assert [one["total"] for one in plot.slugs()] == [3]
    undone = plot.undo_import(taken["import_id"])
    assert (undone["removed"], undone["kept"]) == (3, [])


def test_a_wrong_token_and_a_silent_address_are_told_apart(plot: Plot) -> None:
    with pytest.raises(ApiError, match="isn't known here"):
        list(Plot(plot.url, "x" * 30, plot.plot_id).records())
    with pytest.raises(NoAnswer):
        list(Plot("http://127.0.0.1:9", plot.token, plot.plot_id, timeout_s=5).records())
    with pytest.raises(ValueError, match="http"):
        Plot("file:///etc", plot.token, plot.plot_id)


def test_a_redirect_gets_no_token() -> None:
    heard: list[str] = []

    class Elsewhere(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            heard.append(self.path)
            self.send_response(302)
            self.send_header("Location", "/stolen")
            self.end_headers()

        def log_message(self, *words: object) -> None:
            """Say nothing."""

    with HTTPServer(("127.0.0.1", 0), Elsewhere) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        with pytest.raises(ApiError) as fault:
            Plot(f"http://127.0.0.1:{server.server_port}", "secret-token-secret", "p").slugs()
        server.shutdown()
    assert fault.value.status == 302 and heard == ["/api/v1/plots/p/findings/slugs"]


def test_it_needs_nothing_but_python() -> None:
    heavy = "{'flask', 'numpy', 'pandas', 'sqlalchemy', 'pint'}"
    code = f"import sys, underboard.client; print(sorted({{m.split('.')[0] for m in sys.modules}} & {heavy}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
