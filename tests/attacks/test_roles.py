"""Who may do what: every address of the app × every role × their own and another plot.

The addresses come from the app itself: one that is added without a line here fails.
"""

from __future__ import annotations

import re
import uuid
from dataclasses import dataclass
from typing import Any, Final

import pytest

from tests.attacks.household import ROLES, Household, envelope, picture, put
from underboard.core.records import RECORD_TYPES

NOBODY_NEEDED: Final = "everybody"
SECRET: Final = "the secret"


@dataclass(frozen=True)
class Door:
    """One method of one address.

    `least`: the least role that may; "everybody", or "the secret" for addresses that open by one.
    `well`: statuses that say that it was let in. `own_only`: names nothing, so a stranger reaches their own plot.
    """

    method: str
    rule: str
    least: str
    well: tuple[int, ...] = (200,)
    body: str = ""
    own_only: bool = False


DOORS: Final = (
    Door("GET", "/", NOBODY_NEEDED),
    Door("GET", "/<page:name>", NOBODY_NEEDED),
    Door("GET", "/healthz", NOBODY_NEEDED),
    Door("GET", "/metrics", NOBODY_NEEDED),  # to this machine only: tests/web/test_doors.py
    Door("GET", "/help", NOBODY_NEEDED, (308,)),
    Door("GET", "/help/", NOBODY_NEEDED, (200, 404)),  # 404: not built
    Door("GET", "/help/<path:name>", NOBODY_NEEDED, (404,)),
    Door("GET", "/install-ca", NOBODY_NEEDED),
    Door("GET", "/install-ca.css", NOBODY_NEEDED),
    Door("GET", "/install-ca/underboard-ca.crt", NOBODY_NEEDED, (404,)),
    Door("GET", "/install-ca/underboard-ca.mobileconfig", NOBODY_NEEDED, (404,)),
    Door("GET", "/install-ca/underboard-ca.pem", NOBODY_NEEDED, (404,)),
    Door("GET", "/stop.css", NOBODY_NEEDED),
    Door("GET", "/api/v1/hello", NOBODY_NEEDED),
    Door("GET", "/api/v1/openapi.json", NOBODY_NEEDED),
    Door("POST", "/api/v1/pair", NOBODY_NEEDED, (403,), "pair"),
    Door("GET", "/calendar/<secret>.ics", SECRET),
    Door("GET", "/stop/<token>", SECRET),
    Door("POST", "/stop/<token>", SECRET),
    Door("GET", "/api/v1/me", "reader", own_only=True),
    Door("GET", "/api/v1/devices", "reader", own_only=True),
    Door("DELETE", "/api/v1/devices/<device_id>", "owner", (204,)),
    Door("POST", "/api/v1/codes", "owner", (201,), "code", own_only=True),
    Door("GET", "/api/v1/channels", "reader", own_only=True),
    Door("PUT", "/api/v1/channels/push", "reader", (422,), "push", own_only=True),
    Door("DELETE", "/api/v1/channels/push", "reader", (204,), own_only=True),
    Door("POST", "/api/v1/channels/email", "owner", (201,), "address", own_only=True),
    Door("DELETE", "/api/v1/channels/email/<target_id>", "owner", (204,)),
    Door("POST", "/api/v1/channels/calendar", "owner", (201,), own_only=True),
    Door("DELETE", "/api/v1/channels/calendar", "owner", (204,), own_only=True),
    Door("POST", "/api/v1/channels/<any(push, email):channel>/<target_id>/trial", "owner"),
    Door("POST", "/api/v1/sync/push", "helper", (200,), "envelope"),
    Door("GET", "/api/v1/sync/pull", "reader", (200,), "plot"),
    Door("GET", "/api/v1/plots/<plot_id>/blobs/<sha256>", "reader"),
    Door("HEAD", "/api/v1/plots/<plot_id>/blobs/<sha256>", "reader"),
    Door("GET", "/api/v1/plots/<plot_id>/blobs/<sha256>/small", "reader"),
    Door("PUT", "/api/v1/plots/<plot_id>/blobs/<sha256>", "helper", (200, 201), "photo"),
    Door("POST", "/api/v1/plots/<plot_id>/readings", "helper", (200,), "readings"),
    Door("GET", "/api/v1/plots/<plot_id>/findings/slugs", "reader"),
    Door("GET", "/api/v1/plots/<plot_id>/findings/warnings", "reader"),
    Door("GET", "/api/v1/plots/<plot_id>/export/<form>", "reader"),
    Door("GET", "/api/v1/plots/<plot_id>/report/<kind>", "reader"),
    Door("GET", "/api/v1/plots/<plot_id>/imports", "reader"),
    Door("POST", "/api/v1/plots/<plot_id>/imports", "helper", (200,), "table"),
    Door("POST", "/api/v1/plots/<plot_id>/imports/preview", "helper", (200,), "table"),
    Door("DELETE", "/api/v1/plots/<plot_id>/imports/<import_id>", "helper", (404,)),
    Door("GET", "/api/v1/plots/<plot_id>/records/<record_id>/history", "reader"),
    Door("GET", "/api/v1/plots/<plot_id>/records/removed", "reader"),
)  # fmt: skip
BY_DEVICE: Final = [door for door in DOORS if door.least in ROLES]


def named(door: Door) -> str:
    return f"{door.method} {door.rule}"


def address(house: Household, door: Door) -> str:
    """The address with ids of the household's plot in it."""
    return re.sub(r"<(?:[^<>:]*:)?(\w+)>", lambda part: house.value(part.group(1)), door.rule)


def sent(house: Household, door: Door, who: str) -> dict[str, Any]:
    """What goes with the request: always something that would be taken from whoever may."""
    bodies: dict[str, Any] = {
        "pair": {"code": "AAAA-AAAA", "device_name": "phone", "want": "token"},
        "code": {"role": "owner"},
        "address": {"address": f"{uuid.uuid4().hex}@example.org"},
        "push": {"endpoint": "https://example.org/push", "p256dh": "A" * 87, "auth": "A" * 22},
        "readings": {"readings": [{"station_id": str(uuid.uuid4()), "observed_at": "2026-05-03T05:20:00Z",
                                   "current": {"value": 4.5, "unit": "degC"}}]},
    }  # fmt: skip
    if door.body == "envelope":
        note = put("note", {"observed_at": "2026-05-03T05:20:00+01:00", "text": "dry"})
        return {"json": envelope(house, note, who=who if who in house.devices else "owner")}
    if door.body == "photo":
        return {"data": picture(), "content_type": "image/jpeg"}
    if door.body == "table":
        return {"data": f"date,note\n2026-05-03,{uuid.uuid4()}\n", "content_type": "text/csv"}
    if door.body == "plot":
        return {"query_string": {"plot": house.plot_id}}
    return {"json": bodies[door.body]} if door.body else {}


def test_every_address_of_the_app_stands_in_the_table(house: Household) -> None:
    there = {
        (method, rule.rule)
        for rule in house.app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"OPTIONS", "HEAD"}
    }
    assert there == {(door.method, door.rule) for door in DOORS if door.method != "HEAD"}


@pytest.mark.parametrize("door", BY_DEVICE, ids=named)
def test_each_role_may_what_the_table_says_and_nobody_else_may_anything(house: Household, door: Door) -> None:
    for rank, role in enumerate(ROLES):
        answer = house.ask(role, door.method, address(house, door), **sent(house, door, role))
        if rank <= ROLES.index(door.least):
            assert answer.status_code in door.well, (role, answer.text)
        else:
            assert answer.status_code == 403, (role, answer.text)
    assert (
        house.ask("nobody", door.method, address(house, door), **sent(house, door, "nobody")).status_code
        == 401
    )


@pytest.mark.parametrize("door", [door for door in BY_DEVICE if not door.own_only], ids=named)
def test_what_belongs_to_another_plot_looks_as_if_it_did_not_exist(house: Household, door: Door) -> None:
    answer = house.ask("stranger", door.method, address(house, door), **sent(house, door, "stranger"))
    assert answer.status_code == 404
    never = re.sub(r"<(?:[^<>:]*:)?(\w+)>", lambda part: invented(part.group(1)), door.rule)
    elsewhere = sent(house, door, "stranger")
    if "query_string" in elsewhere:
        elsewhere = {"query_string": {"plot": str(uuid.uuid4())}}
    if "envelope" in door.body:
        elsewhere["json"]["plot"] = str(uuid.uuid4())
    nothing = house.ask("stranger", door.method, never, **elsewhere)
    assert nothing.status_code == 404
    if door.method != "HEAD":
        assert said(answer.text) == said(nothing.text)


def said(text: str) -> str:
    """An answer without the ids that were asked for or given to the request."""
    return re.sub(r"[0-9a-f]{8}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{12}", "ID", text)


def invented(part: str) -> str:
    return {"sha256": "0" * 64, "channel": "email"}.get(part, str(uuid.uuid4()))


@pytest.mark.parametrize("door", [door for door in BY_DEVICE if door.own_only], ids=named)
def test_a_stranger_is_told_nothing_of_this_plot(house: Household, door: Door) -> None:
    house.value("target_id")
    answer = house.ask("stranger", door.method, address(house, door), **sent(house, door, "stranger"))
    assert answer.status_code in door.well
    owned = [house.plot_id, house.note_id, house.sha256, house.feed, *house.made]
    owned += [id_ for who, id_ in house.devices.items() if who != "stranger"]
    assert [one for one in owned if one in answer.text] == []


@pytest.mark.parametrize("door", [door for door in DOORS if door.least == NOBODY_NEEDED], ids=named)
def test_what_is_open_to_everybody_tells_nothing_of_any_plot(house: Household, door: Door) -> None:
    answer = house.ask("nobody", door.method, address(house, door), **sent(house, door, "nobody"))
    assert answer.status_code in door.well
    owned = [house.plot_id, house.note_id, house.sha256, house.feed, *house.made, *house.devices.values()]
    assert [one for one in owned if one in answer.text] == []


@pytest.mark.parametrize("door", [door for door in DOORS if door.least == SECRET], ids=named)
def test_a_secret_address_opens_by_its_secret_alone(house: Household, door: Door) -> None:
    wrong = re.sub(r"<(\w+)>", "A" * 43, door.rule)
    assert house.ask("owner", door.method, wrong).status_code == 404
    if "<secret>" in door.rule:
        made = house.ask("owner", "POST", "/api/v1/channels/calendar").get_json()["url"]
        right = "/" + made.split("/", 3)[3]
    else:
        right = address(house, door)
    assert house.ask("nobody", door.method, right).status_code == 200


def test_a_device_that_was_put_out_may_nothing(house: Household) -> None:
    from underboard.store import people
    from underboard.web.services import utc_now

    with house.app.app_context():
        gone = people.add_device(house.plot_id, "gone", "owner", utc_now(), kind="token")
        people.revoke(house.plot_id, gone.device_id, utc_now(), "owner")
    house.headers["gone"] = {"Authorization": f"Bearer {gone.token}"}
    for door in BY_DEVICE:
        answer = house.ask("gone", door.method, address(house, door), **sent(house, door, "owner"))
        assert answer.status_code == 401, named(door)


@pytest.mark.parametrize("door", [door for door in BY_DEVICE if "blobs" not in door.rule], ids=named)
def test_nothing_of_a_plot_is_left_in_caches(house: Household, door: Door) -> None:
    """Photos may be kept by the phone alone: their name is their content, and they need the right to be asked for."""
    answer = house.ask("owner", door.method, address(house, door), **sent(house, door, "owner"))
    assert answer.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize(
    "type_name", sorted(name for name, kind in RECORD_TYPES.items() if kind.server_written)
)
def test_no_device_writes_what_only_the_server_writes(house: Household, type_name: str) -> None:
    forged = {
        "rule": "frost",
        "raised_at": "2026-05-03T05:20:00+01:00",
        "headline": "Leave the tunnel open tonight",
    }
    ops = [put(type_name, forged if type_name == "warning" else {})]
    answer = house.ask("owner", "POST", "/api/v1/sync/push", json=envelope(house, *ops))
    assert [result["status"] for result in answer.get_json()["results"]] == ["rejected"]
