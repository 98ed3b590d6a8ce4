"""Keep the database of a phone as a release leaves it: fixtures/phone_stores/VERSION.json.

Run once for each version of the phone's database (pwa/src/storage/migrations.ts), with a server and a client of the
last commit that had it as its newest, so the rows are those of that release's own code:

    git clone . /tmp/old && cd /tmp/old && git checkout COMMIT && (cd pwa && npm ci && npx vite build)
    PYTHONPATH=/tmp/old/server python -m tests.browser.keep_phone_store 0001    # in the newest checkout

A phone joins a plot with forty counts of last week, counts a board, is then offline and counts on: what is synced and
what is not lie side by side, with a photo and a half-filled form. The results are never made anew: that is what they
are for.
"""

from __future__ import annotations

import json
import re
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import (
    bearer,
    board,
    new_plot,
    phone_of,
    push,
    shows,
    start_records,
    sync,
    walk_path,
)
from tests.faults.kills.bare_page import bundle, open_bare

PHONES = Path(__file__).parents[2] / "fixtures" / "phone_stores"


def last_week(server: ServerProcess, plot: str) -> None:
    """A round of forty counts with ids of their own time, as a phone makes them (UUIDv7, RFC 9562, 5.7)."""
    records: list[dict[str, Any]] = []
    for n in range(41):
        at = datetime.now(UTC) - timedelta(days=7, minutes=40 - n)
        stamp, observed_at = f"{int(at.timestamp() * 1000):012x}", at.isoformat(timespec="seconds")
        own = f"{stamp[:8]}-{stamp[8:]}-7000-8000-{n:012}"
        kind: dict[str, Any] = {"kind": "dawn", "started_at": observed_at}
        if records:
            station = start_records(plot)[2]["id"]
            kind = {"round_id": records[0]["id"], "station_id": station, "state": "counted", "count": n % 9}
        set_ = {**kind, "observed_at": observed_at, "observer": "Ada"}
        records.append({"type": "slug_count" if n else "round", "id": own, "set": set_})
    push(server, bearer(server, plot), plot, records)


def live(phone: Phone, plot: str, picture: Path) -> None:
    """Board 1 counted on and synced; offline: Board 2 counted, Board 1 counted on, a photo of it."""
    page = phone.page
    board(page, 1)
    page.get_by_role("button", name="One more slug").click()
    shows(page, 1, "6")
    sync(phone)
    phone.go(walk_path(plot))
    phone.offline()
    board(page, 2)
    for _ in range(3):
        page.get_by_role("button", name="One more slug").click()
    shows(page, 2, "3")
    board(page, 1)
    page.get_by_role("button", name="One more slug").click()
    shows(page, 1, "7")
    page.locator("input[type=file]").first.set_input_files(picture)
    page.get_by_role("region", name="Board 1", exact=True).get_by_text(re.compile("1 photo")).wait_for()


def keep(version: str) -> Path:
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        Image.new("RGB", (640, 480), (90, 140, 60)).save(folder / "leaf.jpg")
        (folder / "data").mkdir()
        server = ServerProcess(folder / "data").without_jobs().start()
        phone: Phone | None = None
        try:
            plot = new_plot(server)
            last_week(server, plot)
            phone = phone_of(lambda url, who: Phone(playwright, folder / who, url), server, plot, "Ada")
            live(phone, plot, folder / "leaf.jpg")
            server.stop()  # or the phone would sync as soon as the network is back
            phone.offline(False)
            page, _ = open_bare(phone, bundle(folder))
            copy: dict[str, Any] = page.evaluate("storm.copyStore('bytes')")
        finally:
            if phone:
                phone.close()
            server.stop()
    for row in copy["rows"]["meta"]:
        if row["key"] == "room_for_text":  # two megabytes that mean nothing
            row["value"] = {"base64": row["value"]["base64"][:64]}
    assert copy["version"] == int(version), f"this release makes version {copy['version']}"
    PHONES.mkdir(exist_ok=True)
    target = PHONES / f"{int(version):04}.json"
    target.write_text(json.dumps(copy, indent=1, sort_keys=True, ensure_ascii=False) + "\n", encoding="utf-8")
    return target


if __name__ == "__main__":
    print(keep(sys.argv[1]))
