"""A plot with beds, a tunnel, thermometers and crops, and the warnings that its server raises."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from playwright.sync_api import Page, expect

from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, push

ZONE = "Europe/London"
NIGHT = datetime(2026, 5, 12, 21, 40, tzinfo=ZoneInfo(ZONE))
MORNING = datetime(2026, 5, 13, 7, 30, tzinfo=ZoneInfo(ZONE))
OPEN_AIR, TUNNEL_METER = "c1", "c2"
BED, TUNNEL = "a1", "a2"
ALL_SENT = re.compile(r"(?<!\d)0\s*only on this phone")


def id_of(plot_id: str, end: str) -> str:
    return f"01890000-0000-7000-8000-{plot_id[-12:-2]}{end}"


def new_warned_plot(server: ServerProcess) -> tuple[str, dict[str, str]]:
    """A plot in the south of England with a bed, a tunnel, a thermometer in each; and its script's headers."""
    code = server.code_for(None)
    body = json.dumps({"code": code, "device_name": "script", "want": "token"}).encode()
    paired = server.call("POST", "/api/v1/pair", body=body)
    plot_id = str(paired["plot_id"])
    headers = {"Authorization": f"Bearer {paired['token']}"}
    push(server, headers, plot_id, start_records(plot_id))
    return plot_id, headers


def start_records(plot_id: str) -> list[dict[str, Any]]:
    def meter(end: str, place: str, label: str, exposure: str, n: int) -> dict[str, Any]:
        return {
            "type": "station",
            "id": id_of(plot_id, end),
            "set": {
                "kind": "thermometer",
                "place_id": id_of(plot_id, place),
                "label": label,
                "exposure": exposure,
                "walk_order": n,
            },
        }

    spot = {"time_zone": ZONE, "latitude": 51.2, "longitude": -0.9}
    return [
        {"type": "plot", "id": plot_id, "set": {"name": "Frost hollow", **spot}},
        {"type": "place", "id": id_of(plot_id, BED), "set": {"kind": "bed", "label": "South bed"}},
        {"type": "place", "id": id_of(plot_id, TUNNEL), "set": {"kind": "tunnel", "label": "Tunnel"}},
        meter(OPEN_AIR, BED, "Post", "screen", 1),
        meter(TUNNEL_METER, TUNNEL, "Tunnel hook", "under_cover", 2),
    ]


def records_of_evening(plot_id: str, air: float, wet: float) -> list[dict[str, Any]]:
    """Tomatoes in the tunnel, beans in the bed, and a clear evening."""
    degrees = {"unit": "degC"}
    planted = {"what": "planted", "observed_at": "2026-05-02T10:00:00+01:00"}
    return [
        {"type": "crop", "id": id_of(plot_id, "e1"), "set": {"kind": "tomato", "place_id": id_of(plot_id, TUNNEL)}},
        {"type": "crop", "id": id_of(plot_id, "e2"), "set": {"kind": "bean", "place_id": id_of(plot_id, BED)}},
        {"type": "crop_event", "id": id_of(plot_id, "e3"), "set": {"crop_id": id_of(plot_id, "e1"), **planted}},
        {"type": "crop_event", "id": id_of(plot_id, "e4"), "set": {"crop_id": id_of(plot_id, "e2"), **planted}},
        {"type": "evening", "id": id_of(plot_id, "f1"),
         "set": {"place_id": id_of(plot_id, BED), "observed_at": "2026-05-12T21:30:00+01:00",
                 "air": {"value": air, **degrees}, "wet": {"value": wet, **degrees}, "sky": "clear", "wind": "calm"}},
    ]  # fmt: skip


def reading(plot_id: str, end: str, station: str, at: str, low: float) -> dict[str, Any]:
    return {
        "type": "temperature",
        "id": id_of(plot_id, end),
        "set": {
            "station_id": id_of(plot_id, station),
            "observed_at": at,
            "min": {"value": low, "unit": "degC"},
            "reset_done": True,
        },
    }


def cold_morning(plot_id: str) -> list[dict[str, Any]]:
    """The post's thermometer: set back on the morning before, read at −1.4 °C after the night."""
    return [
        reading(plot_id, "d1", OPEN_AIR, "2026-05-12T07:00:00+01:00", 3.0),
        reading(plot_id, "d2", OPEN_AIR, "2026-05-13T07:00:00+01:00", -1.4),
    ]


def joined(make: Callable[..., Phone], server: ServerProcess, plot_id: str, who: str) -> Phone:
    """A phone of the plot, its first sync done, its shell kept for offline starts."""
    phone = make(server.url, who)
    page = phone.go(f"/#pair={server.code_for(plot_id)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill(who, timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    starts_offline(page)
    return phone


def synced(phone: Phone) -> Page:
    """At home: push what is here, pull what is new; until that is stored, when the button can be pressed again."""
    page = phone.go("/sync")
    button = page.get_by_role("button", name="Sync now")
    with page.expect_response(lambda answer: "/sync/pull" in answer.url, timeout=LONG):
        button.click(timeout=LONG)
    expect(button).to_be_enabled(timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text(ALL_SENT, timeout=LONG)
    return page


def of_type(server: ServerProcess, plot_id: str, headers: dict[str, str], kind: str) -> list[dict[str, Any]]:
    """Records of one type as the server has them."""
    return [r for r in server.records(plot_id, headers) if r["type"] == kind and not r["deleted"]]


def type_evening(page: Page, air: str, wet: str) -> None:
    for slot, text in (("Air", air), ("Wet bulb", wet)):
        page.get_by_role("button", name=re.compile(f"^{slot}")).click(timeout=LONG)
        for key in text:
            page.get_by_role("button", name=key, exact=True).click()
    page.get_by_role("radio", name="Clear", exact=True).click()
    page.get_by_role("radio", name="Calm", exact=True).click()
