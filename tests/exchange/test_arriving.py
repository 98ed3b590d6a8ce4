"""Taking in over HTTP, by command and from a watched folder; undo; the logger examples against a real server."""

from __future__ import annotations

import json
import os
import runpy
import shutil
import subprocess
import sys
import threading
import time
import types
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from werkzeug.serving import make_server

from tests.attacks.household import Household, envelope, household, put
from underboard.cli import main

ROOT = Path(__file__).parents[2]
BOARD, GLASS = "01890000-0000-7000-8000-00000000b001", "01890000-0000-7000-8000-00000000b002"
NOTEBOOK = b"date,board,slugs,by\n2026-05-03,B1,7,Ann\n2026-05-04,B1,0,Ann\n2026-05-05,B1,x,Ann\n2026-05-06,B9,2,Ann\n"


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Iterator[Household]:
    with household(tmp_path_factory.mktemp("arriving"), migrated_sqlite) as made:
        stations = (
            put("plot", {"name": "Home", "time_zone": "Europe/London"}, made.plot_id),
            put("station", {"kind": "slug_board", "label": "B1"}, BOARD),
            put("station", {"kind": "thermometer", "label": "G1"}, GLASS),
        )
        made.ask("owner", "POST", "/api/v1/sync/push", json=envelope(made, *stations))
        yield made


def ask(house: Household, method: str, rest: str = "", who: str = "helper", **more: Any) -> Any:
    return house.ask(who, method, f"/api/v1/plots/{house.plot_id}/imports{rest}", **more)


def pulled(house: Household, *types: str) -> list[dict[str, Any]]:
    answer = house.ask("owner", "GET", f"/api/v1/sync/pull?plot={house.plot_id}&limit=500").get_json()
    return [one for one in answer["records"] if one["type"] in types and not one["deleted"]]


def test_looked_at_taken_in_seen_by_phones_and_undone(house: Household) -> None:
    shown = ask(house, "POST", "/preview?name=old.csv", data=NOTEBOOK).get_json()
    assert [(one["head"], one["is"]) for one in shown["columns"]] == [
        ("date", "date"), ("board", "station"), ("slugs", "count"), ("by", "observer"),
    ]  # fmt: skip
    assert shown["would_take"] == {"round": 3, "slug_count": 3} and shown["refused"] == 1
    assert pulled(house, "slug_count") == []  # nothing was written
    taken = ask(house, "POST", "?name=old.csv", data=NOTEBOOK).get_json()
    assert taken["taken"] == {"round": 3, "slug_count": 3}
    assert [(one["row"], "B9" in one["why"]) for one in taken["refusals"]] == [(5, True)]
    counts = pulled(house, "slug_count")
    assert sorted(one["body"]["state"] for one in counts) == ["counted", "none_found", "not_turned"]
    assert {one["body"]["import_id"] for one in counts} == {taken["import_id"]}
    again = ask(house, "POST", "?name=old.csv", data=NOTEBOOK).get_json()
    assert again["import_id"] is None and again["here_already"] == 3
    (standing,) = ask(house, "GET", who="reader").get_json()["imports"]
    assert standing["records"] == 6 and "old.csv" in standing["words"] and standing["by"] == "helper phone"

    # Somebody corrects one count on a phone; the undo leaves it and its round, and takes the rest.
    seven = next(one for one in counts if one["body"]["state"] == "counted")
    edit = put("slug_count", {"count": 8}, seven["id"]) | {"base_rev": 1}
    house.ask("owner", "POST", "/api/v1/sync/push", json=envelope(house, edit))
    undone = ask(house, "DELETE", f"/{taken['import_id']}").get_json()
    assert undone["removed"] == 5 and sorted(undone["kept"]) == sorted(
        [seven["id"], seven["body"]["round_id"]]
    )
    assert {(one["type"], one["why"]) for one in undone["stays"]} == {
        ("slug_count", "edited"),
        ("round", "named"),
    }
    assert [one["body"]["count"] for one in pulled(house, "slug_count")] == [8]
    assert ask(house, "DELETE", f"/{taken['import_id']}").status_code == 404
    assert ask(house, "GET").get_json()["imports"] == []

    # What was taken back can come in again.
    back = ask(house, "POST", "?name=old.csv", data=NOTEBOOK).get_json()
    assert back["taken"] == {"round": 2, "slug_count": 2}
    rounds = {one["id"] for one in pulled(house, "round")}
    assert {one["body"]["round_id"] for one in pulled(house, "slug_count")} <= rounds


def test_the_guess_is_corrected_and_a_wrong_plan_is_refused(house: Household) -> None:
    data = b"when,nr,beasts\n5/3/2026,B1,2\n"
    plan = json.dumps({"columns": {"nr": "station", "beasts": "count"}, "day_first": False})
    shown = ask(house, "POST", "/preview", data=data, query_string={"plan": plan}).get_json()
    assert shown["samples"][0]["set"]["observed_at"].startswith("2026-05-03T06:00")
    for wrong in ("[]", "{", '{"type": "warning"}', '{"columns": []}', '{"columns": {"nr": "weight"}}'):
        answer = ask(house, "POST", "/preview", data=data, query_string={"plan": wrong})
        assert answer.status_code in (400, 422) and answer.get_json()["detail"], wrong


def test_a_bundle_is_for_the_owner_and_comes_under_ids_of_this_plot(house: Household) -> None:
    other = house.ask("stranger", "GET", "/api/v1/me").get_json()["plot_id"]
    note = {"observed_at": "2026-05-03T05:20:00+01:00", "text": "from afar"}
    frame = envelope(house, put("note", note)) | {"plot": other, "epoch": None}
    assert (
        house.ask("stranger", "POST", "/api/v1/sync/push", json=frame).get_json()["results"][0]["status"]
        == "applied"
    )
    bundle = house.ask("stranger", "GET", f"/api/v1/plots/{other}/export/bundle").data
    assert ask(house, "POST", "?name=x.zip", data=bundle).status_code == 403
    assert ask(house, "POST", "/preview", who="owner", data=bundle).status_code == 422
    taken = ask(house, "POST", "?name=x.zip", who="owner", data=bundle).get_json()
    assert taken["taken"] == {"note": 1} and taken["refused"] == 0
    assert "from afar" in [one["body"]["text"] for one in pulled(house, "note")]
    assert ask(house, "POST", who="owner", data=bundle[:-40]).status_code == 422
    assert ask(house, "POST", who="owner", data=b"x" * (13 * 1024 * 1024)).status_code == 413


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory, house: Household) -> list[str]:
    """A data folder of its own with the same plot, as the command sees it."""
    folder = tmp_path_factory.mktemp("home")
    bundle = folder / "home.zip"
    bundle.write_bytes(house.ask("owner", "GET", f"/api/v1/plots/{house.plot_id}/export/bundle").data)
    data = ["--data", str(folder / "data")]
    assert main(["import", str(bundle), *data]) == 0
    return data


def said(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    capsys.readouterr()
    assert main([*words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_the_command_shows_first_and_takes_back(
    home: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "boards.csv"
    file.write_text("date,board,slugs\n2025-06-01,B1,3\n2025-06-02,B1,-\n", encoding="utf-8")
    shown = said(capsys, "import", str(file), *home)
    assert shown["written"] is False and shown["would_take"] == {"round": 1, "slug_count": 1}
    taken = said(capsys, "import", str(file), "--yes", *home)
    assert (
        taken["written"] is True and taken["taken"] == {"round": 1, "slug_count": 1} and taken["refused"] == 1
    )
    assert taken["import_id"] in [
        one["import_id"] for one in said(capsys, "import", "--list", *home)["imports"]
    ]
    assert said(capsys, "import", "--undo", taken["import_id"], *home) == {"removed": 3, "kept": []}
    assert main(["import", str(tmp_path / "none.csv"), *home]) == 2
    assert main(["import", str(file), "--column", "slugs", *home]) == 2


def test_a_watched_folder_takes_each_settled_file_once(
    home: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good, bad, fresh = (tmp_path / name for name in ("G1 May.csv", "odd.csv", "G1 June.csv"))
    good.write_text(
        "time stamp,temp (°C)\n2026-05-03T05:00:00Z,4.5\n2026-05-03T05:15:00Z,4.0\n", encoding="utf-8"
    )
    bad.write_text("nothing\n", encoding="utf-8")
    (tmp_path / "link.csv").symlink_to("/etc/passwd")
    for path in (good, bad):
        os.utime(path, (time.time() - 60, time.time() - 60))
    fresh.write_text("time stamp,temp\n", encoding="utf-8")
    soon = time.time() + 600
    os.utime(fresh, (soon, soon))  # written to all the while, however slow the machine
    told = said(capsys, "watch-folder", str(tmp_path), "--once", *home)["files"]
    assert [(one["file"], one["ok"], one["taken"]) for one in told] == [
        ("G1 May.csv", True, {"temperature": 2}), ("odd.csv", False, {}),
    ]  # fmt: skip
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "G1 June.csv",
        "link.csv",
        "refused",
        "taken-in",
    ]
    report = tmp_path / "refused" / "odd.csv.report.txt"
    assert "columns" in report.read_text("utf-8")
    assert said(capsys, "watch-folder", str(tmp_path), "--once", *home)["files"] == []


@pytest.fixture(scope="module")
def address(house: Household) -> Iterator[str]:
    server = make_server("127.0.0.1", 0, house.app, threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.port}"
    server.shutdown()
    thread.join(10)
    server.server_close()


def readings(house: Household) -> list[float]:
    return [one["body"]["current"]["value"] for one in pulled(house, "temperature")]


def test_the_shell_example_sends_a_reading(house: Household, address: str) -> None:
    token = house.headers["helper"]["Authorization"].removeprefix("Bearer ")
    given = {
        "SERVER": address,
        "PLOT": house.plot_id,
        "TOKEN": token,
        "STATION": GLASS,
        "PATH": os.environ["PATH"],
    }
    script = [shutil.which("sh") or "sh", str(ROOT / "deploy/loggers/reading.sh"), "-1.25"]
    done = subprocess.run(script, env=given, capture_output=True, text=True, timeout=240, check=True)
    assert json.loads(done.stdout)["results"][0]["status"] == "applied"
    assert -1.25 in readings(house)
    wrong = subprocess.run(
        script, env={**given, "TOKEN": "x" * 30}, capture_output=True, timeout=240, check=False
    )
    assert wrong.returncode != 0


class Slept(Exception):
    """The example would sleep until its next turn."""


def test_the_microcontroller_example_keeps_what_it_could_not_send(
    house: Household, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sensor is a stand-in; program, network, server and store are real."""
    import requests

    turns = iter([11.5, 12.5])
    bus = types.SimpleNamespace(
        convert_temp=lambda: None, scan=lambda: [b"rom"], read_temp=lambda _: next(turns)
    )
    settings = {
        "SERVER": "http://127.0.0.1:9", "PLOT": house.plot_id, "STATION": GLASS,
        "TOKEN": house.headers["helper"]["Authorization"].removeprefix("Bearer "),
    }  # fmt: skip
    stand_ins: dict[str, dict[str, Any]] = {
        "machine": {"Pin": int}, "onewire": {"OneWire": int}, "ds18x20": {"DS18X20": lambda _: bus},
        "logger_settings": settings,
    }  # fmt: skip
    for name, members in stand_ins.items():
        monkeypatch.setitem(sys.modules, name, types.SimpleNamespace(**members))
    post, naps, day = requests.post, iter([1, 900, 1, 900]), iter(range(1, 9))

    def sleep(seconds: float) -> None:
        assert seconds == next(naps)
        if len(waited) == 3:
            raise Slept
        waited.append(seconds)

    def through(url: str, **words: Any) -> Any:  # the network comes back in the second turn
        return post(url.replace("http://127.0.0.1:9", address) if len(waited) > 1 else url, **words)

    waited: list[float] = []
    monkeypatch.setattr(time, "sleep", sleep)
    monkeypatch.setattr(time, "gmtime", lambda: (2026, 5, next(day), 6, 0, 0, 0, 0, 0))
    monkeypatch.setattr(requests, "post", through)
    with pytest.raises(Slept):
        runpy.run_path(str(ROOT / "deploy/loggers/micropython_reading.py"))
    assert [value for value in readings(house) if value in (11.5, 12.5)] == [11.5, 12.5]
