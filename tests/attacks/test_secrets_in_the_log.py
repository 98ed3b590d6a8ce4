"""A real server at its most talkative, asked over a socket with every secret it knows: its log holds none of them."""

from __future__ import annotations

import http.client
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

import pytest

from tests.attacks.test_odd_requests import raw
from tests.browser.server import ServerProcess
from underboard.config import Settings
from underboard.notify.stop_links import StopLinks

OURS = {"Sec-Fetch-Site": "same-origin", "X-App": "1"}
WRONG = "Wr0ngWr0ngWr0ngWr0ngWr0ngWr0ngWr0ngWr0ngWro"
WRONG_STOP = "Wr0ngHandleWr0ng.Wr0ngProofWr0ngProofWr"
WRONG_CODE = "WRNG-WR0N"


@dataclass
class Asked:
    """A server, and everything secret that it was or will be told."""

    server: ServerProcess
    secrets: dict[str, str]

    def ask(
        self, method: str, path: str, body: str | None = None, kind: str = "application/json", **headers: str
    ) -> int:
        """The status of one request, typed as it is."""
        connection = http.client.HTTPConnection("127.0.0.1", self.server.port, timeout=60)
        try:
            sent = {name.replace("_", "-"): value for name, value in headers.items()}
            if body is not None:
                sent["Content-Type"] = kind
            connection.request(method, path, body, sent)
            answer = connection.getresponse()
            answer.read()
            return answer.status
        finally:
            connection.close()

    def pair(self, code: str, want: str = "token") -> int:
        return self.ask("POST", "/api/v1/pair", json.dumps({"code": code, "device_name": "x", "want": want}))

    def log(self) -> str:
        return (self.server.data / "serve.log").read_text("utf-8")

    def lines(self, **wanted: object) -> list[dict[str, object]]:
        """Lines of the log about requests, with these facts."""
        found = [json.loads(line) for line in self.log().splitlines() if line.startswith("{")]
        return [line for line in found if all(line.get(name) == value for name, value in wanted.items())]

    def leaked(self) -> list[str]:
        said = self.log().casefold()
        return [name for name, secret in self.secrets.items() if any(form in said for form in forms(secret))]


def forms(secret: str) -> set[str]:
    """A secret as it is, as an address writes it, and as people type it."""
    return {one.casefold() for one in (secret, quote(secret, safe=""), secret.replace("-", ""))}


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asked]:
    server = ServerProcess(tmp_path_factory.mktemp("logged")).without_jobs()
    (server.data / "settings.toml").write_text('log_level = "debug"\n')
    server.start()
    try:
        yield Asked(server, secrets_of(server))
    finally:
        server.stop()


def secrets_of(server: ServerProcess) -> dict[str, str]:
    """Make one of each, over the socket where the interface makes them."""
    wish = {"code": server.code_for(None), "device_name": "owner", "want": "token"}
    token = server.call("POST", "/api/v1/pair", json.dumps(wish).encode())["token"]
    bearer = {"Authorization": f"Bearer {token}"}
    typed = server.call("POST", "/api/v1/codes", b'{"role": "helper"}', bearer)["code"]
    plot = server.call("GET", "/api/v1/me", headers=bearer)["plot_id"]
    url = server.call("POST", "/api/v1/channels/calendar", b"{}", bearer)["url"]
    server.call("POST", "/api/v1/channels/email", b'{"address": "may@example.org"}', bearer)
    with closing(sqlite3.connect(server.data / "underboard.sqlite3")) as connection:
        (handle,) = connection.execute("SELECT stop_handle FROM mail_target").fetchone()
    return {
        "first code": wish["code"] or "",
        "token": token,
        "typed code": typed,
        "long code": server.code_for(plot, "reader"),
        "spare code": server.code_for(plot, "reader"),
        "calendar": url.rsplit("/", 1)[1].removesuffix(".ics"),
        "stop link": StopLinks(Settings(data=server.data).stop_key_file).token(handle),
        "stop key": (server.data / "keys" / "stop_key").read_text().strip(),
        "wrong token": WRONG,
        "wrong stop link": WRONG_STOP,
        "wrong code": WRONG_CODE,
    }


def test_right_and_wrong_secrets_in_their_places(asked: Asked) -> None:
    calendar, stop, token = (asked.secrets[name] for name in ("calendar", "stop link", "token"))
    assert [asked.ask("GET", f"/calendar/{one}.ics") for one in (calendar, WRONG)] == [200, 404]
    assert [asked.ask("HEAD", f"/calendar/{one}.ics") for one in (calendar, WRONG)] == [200, 404]
    assert [asked.ask("GET", f"/stop/{one}") for one in (stop, WRONG_STOP)] == [200, 404]
    form = ("List-Unsubscribe=One-Click", "application/x-www-form-urlencoded")
    assert [asked.ask("POST", f"/stop/{one}", *form) for one in (stop, WRONG_STOP)] == [200, 404]
    assert [asked.ask("GET", "/api/v1/me", Authorization=f"Bearer {one}") for one in (token, WRONG)] == [
        200,
        401,
    ]
    assert asked.ask("DELETE", f"/api/v1/devices/{WRONG}", Authorization=f"Bearer {token}") == 404
    assert [asked.ask("GET", "/api/v1/me", Cookie=f"__Host-dev={one}") for one in (token, WRONG)] == [
        200,
        401,
    ]
    assert (
        asked.ask("POST", "/api/v1/codes", "{}", Cookie=f"__Host-dev={token}", Origin="http://evil.example")
        == 403
    )
    codes = (asked.secrets["typed code"], asked.secrets["long code"], asked.secrets["typed code"], WRONG_CODE)
    assert [asked.pair(code) for code in codes] == [200, 200, 403, 403]
    for route, status in (("/calendar/<secret>.ics", 404), ("/stop/<token>", 404), ("/api/v1/pair", 403)):
        assert asked.lines(route=route, status=status), "it was heard, and a line was written"
    assert asked.leaked() == []


def test_secrets_where_they_do_not_belong(asked: Asked) -> None:
    """Mistyped addresses, a code in a query instead of behind #, bodies that cannot be read."""
    calendar, stop, token, code = (asked.secrets[n] for n in ("calendar", "stop link", "token", "spare code"))
    before = len(asked.lines(event="request"))
    paths = (
        f"/?pair={code}", f"/api/v1/hello?pair={code}", f"/api/v1/pair/{code}", f"/{code}", f"/pair={code}",
        f"/api/v1/me?token={token}", f"/api/v1/sync/pull?plot={token}", f"/api/v1/plots/{token}/imports",
        f"/calendar/{calendar}", f"/calendar/{calendar}.ics/", f"/calendar/{calendar}.ics?{calendar}",
        f"/CALENDAR/{calendar}.ics", f"//calendar//{calendar}.ics", f"/stop/{stop}/", f"/stop?token={stop}",
        f"/stop/{quote(stop[:20])}%ff{stop[20:]}", f"/assets/{token}.js", f"/help/{token}",
    )  # fmt: skip
    for path in paths:
        assert asked.ask("GET", path, Accept="text/html", Referer=f"http://127.0.0.1/stop/{stop}") < 500, path
        assert asked.ask("DELETE", path, Authorization=f"Basic {token}", User_Agent=calendar) < 500, path
    bodies = (
        f'{{"code": "{code}"',
        f'["{code}"]',
        f'{{"code": ["{code}"]}}',
        f'{{"{code}": 1}}',
        code,
        "\0" + token,
    )
    for body in bodies:
        for kind in ("application/json", "text/plain", f"x/{code}", "application/x-www-form-urlencoded"):
            assert 400 <= asked.ask("POST", f"/api/v1/pair?code={code}", body, kind) < 500, (body, kind)
    assert (
        asked.ask("POST", "/api/v1/sync/push", f'{{"plot": "{token}"', Authorization=f"Bearer {token}") == 400
    )
    assert len(asked.lines(event="request")) >= before + 2 * len(paths) + 4 * len(bodies)
    host = "Host: 127.0.0.1"
    for lines in (  # what is no request at all: the server below us speaks then
        (f"GET /stop/{stop} HTTP/9.9", host), (f"GET /calendar/{calendar}.ics", host), (f"{token} / HTTP/1.1", host),
        (f"GET /stop/{stop} HTTP/1.1", host, host), (f"GET / HTTP/1.1 {token}", host), (token,),
        ("GET /api/v1/me HTTP/1.1", host, f"Authorization : Bearer {token}"),
        (f"GET /stop/{stop} HTTP/1.1", host, f"Cookie: a=\x01{token}"), ("GET / HTTP/1.1", f"Host: {token}:x"),
    ):  # fmt: skip
        raw(asked.server, *lines)
    assert asked.leaked() == []


def test_a_mistake_inside_the_server_writes_its_trace_without_them(asked: Asked) -> None:
    """The tables that secrets are looked up in are gone: every look-up falls over. Last, since nothing works then."""
    calendar, stop, token, code = (asked.secrets[n] for n in ("calendar", "stop link", "token", "spare code"))
    with closing(sqlite3.connect(asked.server.data / "underboard.sqlite3", timeout=60)) as connection:
        for table in ("calendar_feed", "mail_target", "pairing_code", "device"):
            connection.execute(f"ALTER TABLE {table} RENAME TO no_{table}")
        connection.commit()
    answers = [
        asked.ask("GET", f"/calendar/{calendar}.ics"),
        asked.ask("GET", f"/stop/{stop}"),
        asked.ask("POST", f"/stop/{stop}"),
        asked.pair(code),
        asked.ask("GET", "/api/v1/me", Authorization=f"Bearer {token}"),
        asked.ask("GET", "/api/v1/me", Cookie=f"__Host-dev={token}"),
    ]
    assert answers == [500] * 6
    traces = [str(line["exception"]) for line in asked.lines(event="fault")]
    assert len(traces) == 6 and all("Traceback" in trace and "no such table" in trace for trace in traces)
    assert asked.leaked() == []


def test_the_search_would_find_one(asked: Asked, tmp_path: Path) -> None:
    for name, secret in asked.secrets.items():
        (tmp_path / "serve.log").write_text(f"GET /x/{quote(secret.lower())} 200")
        there = Asked(ServerProcess(tmp_path, port=1), asked.secrets)
        assert name in there.leaked()
