"""Who gets in: pairing, cookies, foreign pages, devices; and the headers and files on the way."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from flask import Flask

from tests.web.conftest import OWN_PAGE, Join, Office, note
from underboard.core.errors import PairingFault
from underboard.web.services import utc_now

PAIR = "/api/v1/pair"


def wish(code: str, want: str = "token") -> dict[str, str]:
    return {"code": code, "device_name": "phone", "want": want}


def test_a_code_lets_one_device_in_once(app: Flask, office: Office) -> None:
    plot = office.create_plot()
    code = office.new_code(plot, "helper", utc_now(), typed=True).code
    client = app.test_client()
    first = client.post(PAIR, json=wish(code.lower().replace("-", " ")))
    assert first.status_code == 200
    assert first.get_json()["plot_id"] == plot
    assert client.post(PAIR, json=wish(code)).status_code == 403


def test_of_many_that_use_one_claim_at_once_exactly_one_begins_a_plot(app: Flask, office: Office) -> None:
    code = office.new_code(None, "owner", utc_now()).code

    def use(number: int) -> str | None:
        try:
            return str(office.use_code(code, f"phone {number}", "cookie", utc_now()).plot_id)
        except PairingFault:
            return None

    with ThreadPoolExecutor(16) as pool:
        winners = [plot for plot in pool.map(use, range(32)) if plot is not None]
    assert len(winners) == 1
    assert office.plots() == winners


def test_codes_run_out_and_short_ones_are_burnt_by_guessing(app: Flask, office: Office) -> None:
    plot = office.create_plot()
    client = app.test_client()
    old = office.new_code(plot, "owner", utc_now() - timedelta(minutes=11)).code
    assert client.post(PAIR, json=wish(old)).status_code == 403
    short = office.new_code(plot, "owner", utc_now(), typed=True).code
    long = office.new_code(plot, "owner", utc_now()).code
    for _ in range(5):
        assert client.post(PAIR, json=wish("AAAA-AAAA")).status_code == 403
    assert client.post(PAIR, json=wish(short)).status_code == 429
    assert client.post(PAIR, json=wish(long)).status_code == 200


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        (OWN_PAGE, 200),
        ({"Origin": "http://localhost", "X-App": "1"}, 200),
        ({"Sec-Fetch-Site": "same-origin"}, 403),
        ({"X-App": "1"}, 403),
        ({**OWN_PAGE, "Sec-Fetch-Site": "cross-site"}, 403),
        ({**OWN_PAGE, "Sec-Fetch-Site": "same-site"}, 403),
        ({**OWN_PAGE, "Sec-Fetch-Site": "none"}, 403),
        ({"Origin": "http://evil.example", "X-App": "1"}, 403),
    ],
)
def test_a_cookie_only_works_from_our_own_page(join: Join, headers: dict[str, str], status: int) -> None:
    phone = join(want="cookie")
    body = phone.envelope(note())
    assert phone.client.post("/api/v1/sync/push", json=body, headers=headers).status_code == status


def test_forms_of_other_pages_are_never_taken(join: Join) -> None:
    phone = join(want="cookie")
    for kind in ("application/x-www-form-urlencoded", "multipart/form-data", "text/plain"):
        answer = phone.client.post("/api/v1/sync/push", data=b"{}", content_type=kind, headers=OWN_PAGE)
        assert answer.status_code in (403, 415)


def test_the_cookie_is_one_that_scripts_cannot_read(app: Flask, office: Office) -> None:
    code = office.new_code(office.create_plot(), "owner", utc_now()).code
    answer = app.test_client().post(PAIR, json=wish(code, "cookie"), headers=OWN_PAGE)
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("__Host-dev=")
    for word in ("Secure", "HttpOnly", "SameSite=Strict", "Path=/", "Max-Age=34560000"):
        assert word in cookie
    assert "Domain" not in cookie
    assert "token" not in answer.get_json()


def test_an_owner_puts_devices_out_and_a_helper_only_itself(join: Join) -> None:
    owner = join()
    helper = join(owner.plot_id, "helper")
    stranger = join()
    listed = owner.get("/api/v1/devices").get_json()["devices"]
    assert {device["id"] for device in listed} == {owner.device_id, helper.device_id}
    assert (
        helper.client.delete(f"/api/v1/devices/{owner.device_id}", headers=helper.headers).status_code == 403
    )
    path = f"/api/v1/devices/{stranger.device_id}"
    assert owner.client.delete(path, headers=owner.headers).status_code == 404
    path = f"/api/v1/devices/{helper.device_id}"
    assert helper.client.delete(path, headers=helper.headers).status_code == 204
    assert helper.get("/api/v1/me").status_code == 401


def test_answers_carry_the_protective_headers(join: Join, app: Flask) -> None:
    for path in ("/", "/api/v1/hello", "/api/v1/nothing", "/healthz"):
        headers = app.test_client().get(path).headers
        assert "default-src 'none'" in headers["Content-Security-Policy"]
        assert "require-trusted-types-for 'script'" in headers["Content-Security-Policy"]
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert not [name for name, _ in headers if name.startswith("Access-Control")]


def test_files_keep_their_cache_rules_and_pages_lead_to_the_shell(app: Flask) -> None:
    client = app.test_client()
    assert "immutable" in client.get("/assets/app-1a2b.js").headers["Cache-Control"]
    assert client.get("/").headers["Cache-Control"] == "no-cache"
    deep = client.get("/round/0193", headers={"Accept": "text/html"})
    assert (deep.status_code, b"shell" in deep.data) == (200, True)
    assert client.get("/assets/gone.js").status_code == 404
    assert client.get("/../settings.toml").status_code == 404
    assert client.get("/api/v1/nothing").status_code == 404


def test_every_mistake_is_a_problem_document(app: Flask) -> None:
    client = app.test_client()
    for answer, status in (
        (client.get("/api/v1/nothing"), 404),
        (client.put("/api/v1/hello"), 405),
        (client.post(PAIR, data=b"{", content_type="application/json"), 400),
        (client.post(PAIR, json={"code": 5}), 422),
        (client.get("/api/v1/me"), 401),
    ):
        body = answer.get_json(force=True)
        assert (answer.status_code, body["status"], answer.mimetype) == (
            status,
            status,
            "application/problem+json",
        )
        assert body["detail"]


def test_metrics_stay_on_this_machine(app: Flask) -> None:
    client = app.test_client()
    assert b"underboard_requests_total" in client.get("/metrics").data
    assert client.get("/metrics", environ_base={"REMOTE_ADDR": "192.0.2.7"}).status_code == 404
