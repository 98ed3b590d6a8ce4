"""The edges of a request: bodies in pieces, limits, a full disk, a busy database, what the log may say."""

from __future__ import annotations

import gzip
import io
import json
import os
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask, Request
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import event
from werkzeug.test import EnvironBuilder

from tests.web.conftest import OWN_PAGE, Join, note
from underboard.config import Settings
from underboard.store import db, people
from underboard.web.app import create_app
from underboard.web.bodies import has_odd_text, is_deeper, parse_json, read_body
from underboard.web.limits import Limits, Rule
from underboard.web.problems import Problem
from underboard.web.request_log import set_up_log
from underboard.web.roles import ROLES, Act, may
from underboard.web.services import EXTENSION, Services, utc_now
from underboard.web.tallies import Tallies
from underboard.web.wellness import Wellness

PUSH = "/api/v1/sync/push"
ON_SQLITE = pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)


def asked(body: bytes, **headers: str) -> Request:
    return Request(EnvironBuilder(method="POST", input_stream=io.BytesIO(body), headers=headers,
                                  environ_overrides={"wsgi.input_terminated": True}).get_environ())  # fmt: skip


@given(st.binary(max_size=300_000), st.integers(0, 9))
def test_a_packed_body_comes_out_as_it_went_in(body: bytes, level: int) -> None:
    packed = asked(gzip.compress(body, level), **{"Content-Encoding": "gzip"})
    assert b"".join(read_body(packed, max_sent=400_000, max_inflated=300_000)) == body


@given(st.binary(min_size=1, max_size=4000), st.data())
def test_a_cut_or_lengthened_packed_body_is_refused(body: bytes, data: st.DataObject) -> None:
    whole = gzip.compress(body)
    cut = whole[: data.draw(st.integers(0, len(whole) - 1))]
    for damaged in (cut, whole + b"x"):
        with pytest.raises(Problem) as refusal:
            list(
                read_body(asked(damaged, **{"Content-Encoding": "gzip"}), max_sent=10_000, max_inflated=9_000)
            )
        assert refusal.value.status == 400


def test_a_bomb_is_stopped_before_it_is_unpacked() -> None:
    """200 MB of zeros in 200 kB: only what is allowed may ever come out."""
    import zlib

    pack = zlib.compressobj(9, wbits=31)
    parts = [pack.compress(bytes(1024 * 1024)) for _ in range(200)] + [pack.flush()]
    came_out = 0
    with pytest.raises(Problem) as refusal:
        for piece in read_body(asked(b"".join(parts), **{"Content-Encoding": "gzip"}),
                               max_sent=256 * 1024, max_inflated=2 * 1024 * 1024):  # fmt: skip
            came_out += len(piece)
    assert (refusal.value.status, came_out <= 2 * 1024 * 1024) == (413, True)


def test_a_body_without_a_stated_length_is_counted_all_the_same() -> None:
    with pytest.raises(Problem) as refusal:
        list(read_body(asked(bytes(70_000)), max_sent=65_536, max_inflated=65_536))
    assert refusal.value.status == 413


@pytest.mark.parametrize("text", ['{"a": 1e999}', '{"a": -Infinity}', "[" * 33 + "]" * 33, '{"a": }', "\xff", "",
                                  '{"a": ' + "9" * 5000 + "}"])  # fmt: skip
def test_json_that_phones_could_not_read_back_is_refused(text: str) -> None:
    with pytest.raises(Problem) as refusal:
        parse_json(text.encode("latin-1"))
    assert refusal.value.status == 400


@given(st.recursive(st.none() | st.text(), lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner)))
def test_depth_and_odd_text_are_found_as_a_plain_recursion_finds_them(value: object) -> None:
    def depth(item: object) -> int:
        inner = item.values() if isinstance(item, dict) else item if isinstance(item, list) else None
        return 0 if inner is None else 1 + max(map(depth, inner), default=0)

    def odd(item: object) -> bool:
        if isinstance(item, str):
            return "\0" in item or item.encode("utf-8", "ignore").decode() != item
        if isinstance(item, dict):
            return any(map(odd, item)) or any(map(odd, item.values()))
        return isinstance(item, list) and any(map(odd, item))

    for limit in range(4):
        assert is_deeper(value, limit) == (depth(value) > limit)
    assert has_odd_text(value) == odd(value)


def test_limits_slide_and_give_back() -> None:
    clock = [0.0]
    limits = Limits(lambda: clock[0])
    rule = Rule("try", 3, 60.0)
    assert [limits.take(rule, "ada") for _ in range(3)] == [0, 0, 0]
    clock[0] = 20.0
    assert limits.take(rule, "ada") == 40.0
    assert limits.take(rule, "bo") == 0
    limits.give_back(rule, "ada")
    assert limits.take(rule, "ada") == 0
    clock[0] = 61.0
    assert limits.take(rule, "ada") == 0
    assert Limits(lambda: 0.0, active=False).take(Rule("none", 0, 1.0), "ada") == 0


def test_counters_are_prometheus_text() -> None:
    tallies = Tallies()
    tallies.add("underboard_requests_total", route='/a"b\\', status="200")
    tallies.add("underboard_requests_total", route='/a"b\\', status="200")
    text = tallies.text({"underboard_plots": ("Plots.", 3)})
    assert 'underboard_requests_total{route="/a\\"b\\\\",status="200"} 2\n' in text
    assert "# TYPE underboard_plots gauge\nunderboard_plots 3\n" in text
    with pytest.raises(ValueError, match="no counter"):
        tallies.add("surprise")


def test_rights_grow_with_the_role_and_strangers_have_none() -> None:
    rights = {role: {act for act in Act if may(role, act)} for role in ROLES}
    assert rights == {"owner": set(Act), "helper": {Act.READ, Act.RECORD}, "reader": {Act.READ}}
    assert not any(may("admin", act) for act in Act)


def limited(app: Flask) -> None:
    """Switch the limits on, as they are outside of tests."""
    kept: Services = app.extensions[EXTENSION]
    kept.settings = replace(kept.settings, rate_limits=True)
    kept.limits = Limits(kept.monotonic)


def test_a_device_that_syncs_without_pause_is_told_how_long_to_wait(app: Flask, join: Join) -> None:
    phone, other = join(), join()
    limited(app)
    path = f"/api/v1/sync/pull?plot={phone.plot_id}"
    answers = [phone.get(path) for _ in range(61)]
    assert [answer.status_code for answer in answers] == [200] * 60 + [429]
    assert answers[-1].get_json()["type"] == "/problems/too-many"
    assert 1 <= int(answers[-1].headers["Retry-After"]) <= 60
    assert other.get(f"/api/v1/sync/pull?plot={other.plot_id}").status_code == 200


def test_guessing_codes_ends_after_twenty_tries_and_honest_pairing_costs_none(app: Flask, join: Join) -> None:
    limited(app)
    for _ in range(25):
        join()
    client = app.test_client()
    wish = {"code": "nope", "device_name": "x", "want": "token"}
    statuses = [client.post("/api/v1/pair", json=wish).status_code for _ in range(21)]
    assert statuses == [403] * 20 + [429]


@ON_SQLITE  # whose own page limit makes a small disk
def test_a_full_disk_is_507_and_the_queue_can_be_sent_again(app: Flask, join: Join) -> None:
    phone = join()
    with app.app_context():
        engine = db.engine
    body = phone.envelope(*[note("x" * 4000) for _ in range(50)])

    def small(connection: sqlite3.Connection, *_: object) -> None:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count={pages + 2}")

    engine.dispose()
    event.listen(engine, "connect", small)
    answer = phone.post(PUSH, body)
    assert (answer.status_code, answer.get_json()["type"]) == (507, "/problems/disk-full")
    event.remove(engine, "connect", small)
    engine.dispose()
    assert phone.pull() == []
    again = phone.post(PUSH, body)
    assert {result["status"] for result in again.get_json()["results"]} == {"applied"}


@ON_SQLITE  # which has one writer; PostgreSQL waits by row
def test_a_busy_database_asks_to_come_back(app: Flask, join: Join, database_url: str) -> None:
    phone = join()
    body = phone.envelope(note())
    with app.app_context():
        engine = db.engine
    engine.dispose()
    event.listen(engine, "connect", lambda connection, _: connection.execute("PRAGMA busy_timeout=50"))
    holder = sqlite3.connect(database_url.removeprefix("sqlite:///"), isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    answer = phone.post(PUSH, body)
    holder.execute("ROLLBACK")
    holder.close()
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "3")
    assert phone.post(PUSH, body).status_code == 200


def test_answers_are_packed_when_that_is_worth_it(join: Join) -> None:
    phone = join()
    path = f"/api/v1/sync/pull?plot={phone.plot_id}"
    wanted = {"Accept-Encoding": "gzip"}
    small = phone.get(path, headers=wanted)
    assert "Content-Encoding" not in small.headers and "Accept-Encoding" in small.headers["Vary"]
    phone.push(*[note("the same words again") for _ in range(50)])
    plain, packed = phone.get(path), phone.get(path, headers=wanted)
    assert packed.headers["Content-Encoding"] == "gzip"
    assert len(packed.data) < len(plain.data) / 2
    assert json.loads(gzip.decompress(packed.data))["records"] == plain.get_json()["records"]
    same = phone.get(path, headers={**wanted, "If-None-Match": packed.headers["ETag"]})
    assert (same.status_code, same.data) == (304, b"")


@pytest.fixture
def clocked(database_url: str, tmp_path: Path) -> Iterator[tuple[Flask, list[datetime]]]:
    """An app whose clock is the first entry of a list."""
    clock = [utc_now()]
    app = create_app(Settings(tmp_path, database_url=database_url, rate_limits=False, log_level="error"),
                     now=lambda: clock[0])  # fmt: skip
    yield app, clock
    with app.app_context():
        db.engine.dispose()


def test_the_cookie_of_a_device_in_use_rolls_on(clocked: tuple[Flask, list[datetime]]) -> None:
    app, clock = clocked
    with app.app_context():
        code = people.new_code(people.create_plot(), "owner", clock[0]).code
    client = app.test_client()
    wish = {"code": code, "device_name": "phone", "want": "cookie"}
    client.post("/api/v1/pair", json=wish, headers=OWN_PAGE, base_url="https://plot.example")
    days = []
    for day in range(4):
        answer = client.get("/api/v1/me", base_url="https://plot.example")
        assert answer.status_code == 200
        days.append("Max-Age=34560000" in answer.headers.get("Set-Cookie", ""))
        again = client.get("/api/v1/me", base_url="https://plot.example")
        assert "Set-Cookie" not in again.headers
        clock[0] += timedelta(days=day + 1)
    assert days == [False, True, True, True]


def test_the_log_ties_an_answer_to_its_line_and_holds_no_secret(
    app: Flask, join: Join, capsys: pytest.CaptureFixture[str]
) -> None:
    phone = join(want="cookie")
    set_up_log("info")
    try:
        answer = phone.client.post(PUSH, json=phone.envelope(note("private words")), headers=phone.headers)
        bad = phone.client.post("/api/v1/pair", json={"code": "SECRET-CODE", "device_name": "x"})
    finally:
        set_up_log("error")
    said = capsys.readouterr().err
    lines = [json.loads(line) for line in said.splitlines()]
    line = next(line for line in lines if line["request_id"] == answer.headers["X-Request-Id"])
    assert (line["route"], line["status"], line["device"]) == (PUSH, 200, phone.device_id)
    assert bad.get_json()["request_id"] == bad.headers["X-Request-Id"]
    cookie = phone.client.get_cookie("__Host-dev")
    assert cookie is not None
    for secret in ("private words", "SECRET-CODE", cookie.value):
        assert secret not in said


def test_a_request_id_of_a_proxy_is_kept_when_it_is_a_plain_word(app: Flask) -> None:
    client = app.test_client()
    kept = client.get("/healthz", headers={"X-Request-Id": "proxy-12345678"}).headers["X-Request-Id"]
    made = client.get("/healthz", headers={"X-Request-Id": "<script>"}).headers["X-Request-Id"]
    assert kept == "proxy-12345678"
    assert len(made) == 32


def test_a_mistake_inside_the_server_is_a_calm_500(app: Flask, capsys: pytest.CaptureFixture[str]) -> None:
    def fall_over() -> str:
        raise ZeroDivisionError("the number behind the scenes is 4711")

    set_up_log("info")
    app.add_url_rule("/fall", view_func=fall_over)
    answer = app.test_client().get("/fall")
    assert (answer.status_code, answer.mimetype) == (500, "application/problem+json")
    assert b"4711" not in answer.data
    assert "4711" in capsys.readouterr().err


@ON_SQLITE  # where losing the database is losing a file
def test_health_tells_when_the_database_is_gone(app: Flask, database_url: str) -> None:
    ticks = [0.0]
    services = app.extensions[EXTENSION]
    services.wellness = Wellness(lambda: ticks[0])
    client = app.test_client()
    assert client.get("/healthz").get_json() == {"status": "ok", "why": []}
    with app.app_context():
        db.engine.dispose()
    file = Path(database_url.removeprefix("sqlite:///"))
    os.replace(file, file.with_suffix(".away"))
    assert client.get("/healthz").status_code == 200, "a verdict holds for a second"
    ticks[0] = 1.0
    answer = client.get("/healthz")
    assert (answer.status_code, answer.get_json()["why"]) == (503, ["the database does not answer"])


def test_a_wrong_address_of_the_interface_is_not_found_whatever_the_method(app: Flask) -> None:
    client = app.test_client()
    for method in ("get", "post", "put", "delete"):
        assert getattr(client, method)("/api/v1/nothing").status_code == 404
    refused = client.delete("/api/v1/hello")
    assert refused.status_code == 405
    assert "GET" in refused.headers["Allow"]


def test_metrics_do_not_leave_through_a_proxy_on_this_machine(app: Flask) -> None:
    answer = app.test_client().get("/metrics", headers={"X-Forwarded-For": "192.0.2.7"})
    assert answer.status_code == 404


def test_an_older_claim_code_is_worth_nothing_once_the_server_has_an_owner(app: Flask) -> None:
    with app.app_context():
        codes = [people.new_code(None, "owner", utc_now()).code for _ in range(2)]
    client = app.test_client()
    wishes = [{"code": code, "device_name": "phone", "want": "token"} for code in codes]
    assert client.get("/api/v1/hello").get_json()["claimed"] is False
    assert [client.post("/api/v1/pair", json=wish).status_code for wish in wishes] == [200, 403]
    assert client.get("/api/v1/hello").get_json()["claimed"] is True
    with app.app_context():
        further = people.new_code(None, "owner", utc_now()).code
        assert len(people.plots()) == 1
    wish = {"code": further, "device_name": "neighbour", "want": "token"}
    assert client.post("/api/v1/pair", json=wish).status_code == 200
