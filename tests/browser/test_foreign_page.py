"""The device cookie in real Chromium on http://127.0.0.1, and pages elsewhere that would like to use it."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess

pytestmark = pytest.mark.browser

CALL = """async ([path, method, body, own]) => {
  const headers = { 'Content-Type': 'application/json', ...(own ? { 'X-App': '1' } : {}) };
  const answer = await fetch(path, { method, headers, ...(body ? { body: JSON.stringify(body) } : {}) });
  const text = await answer.text();
  return { status: answer.status, body: text ? JSON.parse(text) : null };
}"""

# What another page can send with somebody's cookies: forms, and fetches that need no leave.
ATTACKS = """async (target) => {
  const tell = async (init) => {
    try { return (await fetch(target, { credentials: 'include', method: 'POST', ...init })).type; }
    catch { return 'refused'; }
  };
  return {
    no_cors: await tell({ mode: 'no-cors', body: '{"role":"owner"}', headers: { 'Content-Type': 'text/plain' } }),
    blob: await tell({ mode: 'no-cors', body: new Blob(['{"role":"owner"}']) }),
    json: await tell({ body: '{"role":"owner"}', headers: { 'Content-Type': 'application/json', 'X-App': '1' } }),
  };
}"""

READ = """(target) => fetch(target, { credentials: 'include' }).then((answer) => answer.text(), () => 'refused')"""

FORM = """(target) => {
  const form = document.createElement('form');
  Object.assign(form, { method: 'post', action: target, enctype: 'text/plain' });
  const field = document.createElement('input');
  Object.assign(field, { name: '{"role":"owner","x":"', value: '"}' });
  form.append(field);
  document.body.append(form);
  form.submit();
}"""


class Neighbour(BaseHTTPRequestHandler):
    """An empty page of another origin on the same host, so that SameSite alone does not keep it out."""

    def do_GET(self) -> None:
        body = b"<!doctype html><title>next door</title><body></body>"
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@pytest.fixture
def next_door() -> Iterator[str]:
    with ThreadingHTTPServer(("127.0.0.1", 0), Neighbour) as page:
        threading.Thread(target=page.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{page.server_port}/"
        page.shutdown()


def call(page: Page, path: str, method: str = "GET", body: Any = None, own: bool = True) -> dict[str, Any]:
    return dict(page.evaluate(CALL, [path, method, body, own]))


def answered(server: ServerProcess) -> list[tuple[str, int]]:
    """Method and status of every request for codes, from the server's log."""
    lines = [line for line in (server.data / "serve.log").read_text().splitlines() if line.startswith("{")]
    said = [json.loads(line) for line in lines]
    return [(line["method"], line["status"]) for line in said if line.get("route") == "/api/v1/codes"]


def test_the_cookie_works_here_and_not_from_next_door(
    server: ServerProcess, new_phone: Callable[..., Phone], next_door: str
) -> None:
    server.start()
    phone = new_phone(server.url, service_workers="block")
    page = phone.go("/api/v1/hello")
    code = (server.data / "keys" / "claim_code").read_text().strip()
    paired = call(page, "/api/v1/pair", "POST", {"code": code, "device_name": "phone", "want": "cookie"})
    assert (paired["status"], "token" in paired["body"]) == (200, False)
    (cookie,) = phone.context.cookies(server.url)
    assert (cookie["name"], cookie["httpOnly"], cookie["secure"], cookie["sameSite"]) == (
        "__Host-dev", True, True, "Strict",
    )  # fmt: skip
    assert page.evaluate("document.cookie") == ""
    assert call(page, "/api/v1/me")["body"]["device_id"] == paired["body"]["device_id"]
    assert call(page, "/api/v1/codes", "POST", {"role": "helper"})["status"] == 201
    assert call(page, "/api/v1/codes", "POST", {"role": "helper"}, own=False)["status"] == 403

    target = f"{server.url}/api/v1/codes"
    # Next door is the same site as ours, and sends the cookie along; localhost is another site, and may not (SameSite).
    for elsewhere, status in ((next_door, 403), (next_door.replace("127.0.0.1", "localhost"), 401)):
        page.goto(elsewhere)
        before = len(answered(server))
        assert page.evaluate(READ, f"{server.url}/api/v1/me") == "refused"
        told = page.evaluate(ATTACKS, target)
        with page.expect_navigation():
            page.evaluate(FORM, target)
        # The browser itself stops the JSON one at its preflight, which finds no leave to send it.
        assert told["json"] == "refused"
        assert answered(server)[before:] == [
            ("POST", status),
            ("POST", status),
            ("OPTIONS", 200),
            ("POST", status),
        ]
