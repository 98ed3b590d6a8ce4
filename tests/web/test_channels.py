"""Ways out of a plot over HTTP: phones, addresses, the calendar's secret, the stop link; who may change what."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import pytest
from flask import Flask
from icalendar import Calendar

from tests.notify.subscriber import Subscriber
from tests.web.conftest import OWN_PAGE, Caller, Join
from underboard.notify.stop_links import StopLinks
from underboard.store import db, feeds
from underboard.web.app import create_app
from underboard.web.services import EXTENSION

KNOWN = "https://fcm.googleapis.com/fcm/send/abc:123"


def wish(**changes: Any) -> dict[str, Any]:
    return {"endpoint": KNOWN, **Subscriber().keys, **changes}


def put(caller: Caller, path: str, body: Any) -> Any:
    return caller.client.put(path, json=body, headers=caller.headers)


def drop(caller: Caller, path: str) -> int:
    return int(caller.client.delete(path, headers=caller.headers).status_code)


def seen(caller: Caller) -> dict[str, Any]:
    return dict(caller.get("/api/v1/channels").get_json())


def test_a_phone_takes_notices_changes_its_mind_and_nobody_is_told_where_it_takes_them(join: Join) -> None:
    owner = join()
    helper = join(owner.plot_id, "helper")
    assert put(helper, "/api/v1/channels/push", wish()).status_code == 204
    assert put(helper, "/api/v1/channels/push", wish(endpoint=KNOWN + "4")).status_code == 204
    (phone,) = seen(helper)["push"]["phones"]
    assert (phone["id"], phone["label"], phone["state"], phone["this_device"]) == (
        helper.device_id, "helper phone", "ok", True,
    )  # fmt: skip
    assert seen(owner)["push"]["phones"][0]["this_device"] is False
    assert "googleapis" not in owner.get("/api/v1/channels").get_data(as_text=True)
    assert drop(helper, "/api/v1/channels/push") == 204
    assert seen(owner)["push"]["phones"] == []


def test_a_browser_that_was_paired_anew_takes_its_endpoint_along(join: Join) -> None:
    before = join()
    put(before, "/api/v1/channels/push", wish())
    again = join(before.plot_id)
    put(again, "/api/v1/channels/push", wish())
    assert [phone["id"] for phone in seen(again)["push"]["phones"]] == [again.device_id]


def test_a_device_that_was_put_out_gets_nothing_more(join: Join) -> None:
    owner = join()
    helper = join(owner.plot_id, "helper")
    put(helper, "/api/v1/channels/push", wish())
    assert drop(owner, f"/api/v1/devices/{helper.device_id}") == 204
    assert seen(owner)["push"]["phones"] == []


def test_the_servers_key_stays_the_same_and_is_a_point_of_the_curve(join: Join, app: Flask) -> None:
    from cryptography.hazmat.primitives.asymmetric import ec

    from underboard.notify.push_secrets import decoded

    owner = join()
    key = seen(owner)["push"]["public_key"]
    assert len(decoded(key)) == 65
    ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), decoded(key))
    assert seen(owner)["push"]["public_key"] == key
    assert app.extensions[EXTENSION].settings.push_key_file.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    "endpoint",
    [
        "http://169.254.169.254/latest/meta-data",
        "https://169.254.169.254/latest/meta-data",
        "https://127.0.0.1:8350/api/v1/hello",
        "http://fcm.googleapis.com/fcm/send/a",
        "https://fcm.googleapis.com.example/fcm/send/a",
        "https://notfcm.googleapis.com/fcm/send/a",
        "https://fcm.googleapis.com:8443/fcm/send/a",
        "https://someone@fcm.googleapis.com/fcm/send/a",
        "https://fcm.googleapis.com/fcm/send/a b",
        "https://fcm.googleapis.com/a\r\nX-Own: 1",
        "https://[::1/",
        "file:///etc/passwd",
        "nonsense",
    ],
)
def test_an_address_that_is_no_push_service_is_refused(join: Join, endpoint: str) -> None:
    owner = join()
    answer = put(owner, "/api/v1/channels/push", wish(endpoint=endpoint))
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.get_json()["errors"]] == ["/endpoint"]
    assert seen(owner)["push"]["phones"] == []


@pytest.mark.parametrize(
    "endpoint",
    [
        "https://fcm.googleapis.com/fcm/send/a",
        "https://updates.push.services.mozilla.com/wpush/v2/a",
        "https://web.push.apple.com/a",
        "https://wns2-par02p.notify.windows.com/w/?token=a",
    ],
)
def test_the_browsers_own_services_are_known(join: Join, endpoint: str) -> None:
    assert put(join(), "/api/v1/channels/push", wish(endpoint=endpoint)).status_code == 204


def test_keys_that_nothing_can_be_encrypted_for_are_refused_at_once(join: Join) -> None:
    owner = join()
    off_the_curve = "B" + "A" * 86  # the point (0, 0) is not on P-256
    for changes in ({"p256dh": off_the_curve}, {"auth": "A" * 20}, {"p256dh": "%" * 87}):
        assert put(owner, "/api/v1/channels/push", wish(**changes)).status_code == 422


def test_only_owners_change_addresses_and_the_calendar_and_only_they_read_addresses(join: Join) -> None:
    owner = join()
    helper, reader = join(owner.plot_id, "helper"), join(owner.plot_id, "reader")
    made = owner.post("/api/v1/channels/email", {"address": "may.field@Example.ORG"})
    assert made.status_code == 201
    again = owner.post("/api/v1/channels/email", {"address": "may.field@example.org"})
    assert again.get_json() == made.get_json()
    for other in (helper, reader):
        assert other.post("/api/v1/channels/email", {"address": "a@example.org"}).status_code == 403
        assert other.post("/api/v1/channels/calendar", {}).status_code == 403
        assert drop(other, "/api/v1/channels/calendar") == 403
        assert drop(other, f"/api/v1/channels/email/{made.get_json()['id']}") == 403
        assert [one["label"] for one in seen(other)["email"]["addresses"]] == ["m…@example.org"]
    assert [one["label"] for one in seen(owner)["email"]["addresses"]] == ["may.field@example.org"]
    assert seen(owner)["email"]["set_up"] is False
    assert drop(join(), f"/api/v1/channels/email/{made.get_json()['id']}") == 404
    assert drop(owner, f"/api/v1/channels/email/{made.get_json()['id']}") == 204
    assert seen(owner)["email"]["addresses"] == []


@pytest.mark.parametrize(
    "address",
    [
        "may",
        "may@",
        "@example.org",
        "may@@example.org",
        "a@b\nBcc: c@d.org",
        "may field@example.org",
        "ä@example.org",
    ],
)
def test_what_is_no_mail_address_is_refused(join: Join, address: str) -> None:
    answer = join().post("/api/v1/channels/email", {"address": address})
    assert answer.status_code == 422
    assert answer.get_json()["errors"][0]["pointer"] == "/address"


def test_no_plot_writes_to_the_whole_world(join: Join) -> None:
    owner = join()
    answers = [owner.post("/api/v1/channels/email", {"address": f"p{n}@example.org"}) for n in range(21)]
    assert [answer.status_code for answer in answers] == [201] * 20 + [422]


def test_a_foreign_page_changes_nothing_with_the_phones_cookie(join: Join) -> None:
    owner = join(want="cookie")
    assert put(owner, "/api/v1/channels/push", wish()).status_code == 204
    for headers in (
        {**OWN_PAGE, "Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-origin"}, {"X-App": "1"},
    ):  # fmt: skip
        for method, path in (
            ("PUT", "push"), ("DELETE", "push"), ("POST", "email"), ("POST", "calendar"), ("DELETE", "calendar"),
            ("POST", f"push/{owner.device_id}/trial"),
        ):  # fmt: skip
            answer = owner.client.open(f"/api/v1/channels/{path}", method=method, json={}, headers=headers)
            assert answer.status_code == 403, (method, path)
    assert len(seen(owner)["push"]["phones"]) == 1


def test_the_calendar_opens_by_its_secret_alone_until_it_is_replaced_or_withdrawn(
    join: Join, app: Flask
) -> None:
    owner = join()
    assert seen(owner)["calendar"] is None
    first = owner.post("/api/v1/channels/calendar", {}).get_json()["url"]
    anyone = app.test_client()
    answer = anyone.get(first)
    assert (answer.status_code, answer.content_type) == (200, "text/calendar; charset=utf-8")
    assert Calendar.from_ical(answer.data)["PRODID"] == "-//Underboard//Warnings//EN"
    assert anyone.get(first, headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304
    assert seen(owner)["calendar"]["last_read_at"] is not None
    second = owner.post("/api/v1/channels/calendar", {}).get_json()["url"]
    assert [anyone.get(url).status_code for url in (first, second)] == [404, 200]
    assert drop(owner, "/api/v1/channels/calendar") == 204
    assert anyone.get(second).status_code == 404
    assert seen(owner)["calendar"] is None


@contextmanager
def strict(app: Flask) -> Iterator[Flask]:
    """The same server with its limits on."""
    settings = replace(app.extensions[EXTENSION].settings, rate_limits=True)
    made = create_app(settings)
    yield made
    with made.app_context():
        db.engine.dispose()


def test_secrets_cannot_be_guessed_one_after_the_other(app: Flask) -> None:
    with strict(app) as limited:
        stranger = limited.test_client()
        tried = [stranger.get(f"/calendar/{n:032}.ics").status_code for n in range(22)]
        assert tried == [404] * 20 + [429] * 2
        assert stranger.get("/stop/abc").status_code == 429


@pytest.fixture
def stop_token(app: Flask, join: Join) -> tuple[Caller, str]:
    owner = join()
    owner.post("/api/v1/channels/email", {"address": "may@example.org"})
    return owner, token_in_mails(app)


def token_in_mails(app: Flask) -> str:
    """What stands in the stop link of mails to the only address there is."""
    with app.app_context(), db.engine.connect() as connection:
        handle = connection.exec_driver_sql("SELECT stop_handle FROM mail_target").scalar_one()
    return StopLinks(app.extensions[EXTENSION].settings.stop_key_file).token(str(handle))


def test_looking_at_the_stop_link_stops_nothing_and_one_click_does(
    app: Flask, stop_token: tuple[Caller, str]
) -> None:
    owner, token = stop_token
    reader = app.test_client()
    page = reader.get(f"/stop/{token}")
    assert page.status_code == 200 and "may@example.org" in page.text
    assert seen(owner)["email"]["addresses"][0]["state"] == "ok"
    for _ in range(2):  # RFC 8058: a form field, no cookie, from the mail provider's own machine
        done = reader.post(f"/stop/{token}", data={"List-Unsubscribe": "One-Click"})
        assert done.status_code == 200 and "Stopped" in done.text
    assert seen(owner)["email"]["addresses"][0]["state"] == "stopped"
    owner.post("/api/v1/channels/email", {"address": "may@example.org"})
    assert seen(owner)["email"]["addresses"][0]["state"] == "ok"
    assert reader.post(f"/stop/{token}").status_code == 404, "the link of the time before is worth nothing"


def test_the_stop_page_needs_nothing_that_the_content_policy_forbids(
    app: Flask, stop_token: tuple[Caller, str]
) -> None:
    page = app.test_client().get(f"/stop/{stop_token[1]}")
    assert "form-action 'self'" in page.headers["Content-Security-Policy"]
    assert page.headers["Referrer-Policy"] == "no-referrer"
    assert page.headers["Cache-Control"] == "no-store"
    assert re.findall(r"<script|style=|<style|\son\w+=", page.text) == []
    assert app.test_client().get("/stop.css").content_type == "text/css; charset=utf-8"


def test_a_name_in_an_address_stays_text(app: Flask, join: Join) -> None:
    owner = join()
    address = "b'&{x}@example.org"
    owner.post("/api/v1/channels/email", {"address": address})
    token = token_in_mails(app)
    with app.app_context():
        assert feeds.feed_of(owner.plot_id) is None
    assert "b&#39;&amp;{x}@example.org" in app.test_client().get(f"/stop/{token}").text


def test_a_trial_without_a_mail_server_says_what_to_set(join: Join) -> None:
    owner = join()
    id_ = owner.post("/api/v1/channels/email", {"address": "may@example.org"}).get_json()["id"]
    answer = owner.post(f"/api/v1/channels/email/{id_}/trial", None)
    assert answer.get_json()["arrived"] is False and "mail_host" in answer.get_json()["words"]
    (address,) = seen(owner)["email"]["addresses"]
    assert address["state"] == "failing" and address["words"] == answer.get_json()["words"]
    helper = join(owner.plot_id, "helper")
    assert helper.post(f"/api/v1/channels/email/{id_}/trial", None).status_code == 403
    assert join().post(f"/api/v1/channels/email/{id_}/trial", None).status_code == 404
