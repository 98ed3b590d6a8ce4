"""A plot with 26 boards, two traps and three thermometers for the tests of paper sheets, and a phone on it."""

from __future__ import annotations

import json
import re
import uuid
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from playwright.sync_api import Page, expect

from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, push

ZONE = ZoneInfo("Europe/London")
N_BOARDS = 26


def today() -> str:
    return datetime.now(ZONE).date().isoformat()


def walked_on() -> str:
    """The day of the walks that are keyed in, which were a minute to four after midnight: never still to come."""
    return (datetime.now(ZONE) - timedelta(minutes=10)).date().isoformat()


def paper_plot(server: ServerProcess) -> str:
    """Boards are made in another order than they are walked; one more was taken away last year."""
    code = server.code_for(None)
    body = json.dumps({"code": code, "device_name": "script", "want": "token"}).encode()
    paired = server.call("POST", "/api/v1/pair", body=body)
    plot_id = str(paired["plot_id"])
    push(server, {"Authorization": f"Bearer {paired['token']}"}, plot_id, records(plot_id))
    return plot_id


def station_id(plot_id: str, name: str) -> str:
    return str(uuid.uuid5(uuid.UUID(plot_id), name))


def records(plot_id: str) -> list[dict[str, Any]]:
    bed = station_id(plot_id, "bed")
    at = (datetime.now(ZONE) - timedelta(days=12)).isoformat(timespec="seconds")

    def station(kind: str, label: str, turn: int, **more: Any) -> dict[str, Any]:
        fields = {"kind": kind, "label": label, "walk_order": turn, "place_id": bed, **more}
        return {"type": "station", "id": station_id(plot_id, label), "set": fields}

    boards = [station("slug_board", f"Board {n}", n) for n in range(N_BOARDS, 0, -1)]
    traps = [station("bait_trap", f"Trap {n}", 30 + n) for n in (1, 2)]
    meters = [station("thermometer", f"Glass {n}", 40 + n) for n in (1, 2, 3)]
    return [
        {"type": "plot", "id": plot_id, "set": {"name": "Paper plot", "time_zone": "Europe/London"}},
        {"type": "place", "id": bed, "set": {"kind": "bed", "label": "Long bed by the wall"}},
        *boards,
        station("slug_board", "Old board", 0, retired_on="2025-01-01"),
        *traps,
        *meters,
        *(
            {
                "type": "trap_catch",
                "id": station_id(plot_id, f"set {trap['id']}"),
                "set": {"station_id": trap["id"], "set_at": at, "observer": "Ada"},
            }
            for trap in traps
        ),
    ]


def join(phone: Phone, server: ServerProcess, plot_id: str, who: str) -> Page:
    page = phone.go(f"/#pair={server.code_for(plot_id)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill(who, timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    starts_offline(page)
    return page
