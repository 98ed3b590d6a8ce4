"""An older shell and a newer one, an older database and a newer one, an older server and a newer one: whatever meets
whatever, nothing on the phone is lost and the page says plainly what it is.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.shelf import Shelf, build_with
from tests.browser.small_plot import LONG, PUSH, bearer, counts_of, new_plot, phone_of, sync
from tests.faults.kills.bare_page import copy_of, open_bare

pytestmark = pytest.mark.browser
Make = Callable[..., Phone]

ROOT = Path(__file__).parents[3]
STEPS = ROOT / "pwa" / "src" / "storage" / "migrations.ts"
VERSIONS = [
    int(step) for step in re.findall(r"^    version: (\d+),$", STEPS.read_text("utf-8"), re.MULTILINE)
]
NOW = VERSIONS[-1]
NEXT_STEP = f"""  {{
    version: {NOW + 1},
    migrate(db) {{
      db.createObjectStore('later' as never, {{ keyPath: 'id' }});
    }},
  }},
];

export const DB_VERSION"""
VERSION = "indexedDB.databases().then((all) => all.find(({ name }) => name === 'underboard')?.version)"
KEPT = """async () => {
  const promised = (request) => new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  const db = await promised(indexedDB.open('underboard'));
  const tx = db.transaction(['outbox', 'photos', 'meta']);
  const [outbox, photos, backup] = await Promise.all([
    promised(tx.objectStore('outbox').getAll()),
    promised(tx.objectStore('photos').getAllKeys()),
    promised(tx.objectStore('meta').get('backup')),
  ]);
  db.close();
  return { outbox, photos, backup: backup?.value };
}"""


@pytest.fixture(scope="module")
def newer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The client as a next release could be: its database has one step more."""
    steps = {"storage/migrations.ts": ("];\n\nexport const DB_VERSION", NEXT_STEP)}
    return build_with(tmp_path_factory.mktemp("newer"), steps)


@pytest.fixture
def shelf(at_home: ServerProcess) -> Iterator[Shelf]:
    served = Shelf(ROOT / "server" / "underboard" / "web" / "client", f"127.0.0.1:{at_home.port}")
    yield served
    served.close()


def joined(new_phone: Make, server: ServerProcess, url: str, plot: str) -> Phone:
    """A phone of the plot that has found the server at this address."""
    return phone_of(lambda _url, name: new_phone(url, name), server, plot, "Ada")


def loads_of(page: Page) -> list[str]:
    loads: list[str] = []
    page.on("framenavigated", lambda frame: loads.append(frame.url))
    return loads


def test_an_upgrade_offline_with_a_second_tab_open_keeps_fifty_operations_and_the_photos(
    at_home: ServerProcess, shelf: Shelf, newer: Path, new_phone: Make, storm: Path
) -> None:
    plot = new_plot(at_home)
    phone = joined(new_phone, at_home, shelf.url, plot)
    shelf.home = ""  # away from home, where something else answers
    page, _ = open_bare(phone, storm)
    promised: dict[str, str] = dict(page.evaluate("storm.queue(50)"))
    page.evaluate("storm.photographing(3)")
    phone.go("/")
    second = phone.context.new_page()
    second.goto(f"{shelf.url}/sync", wait_until="domcontentloaded")
    expect(second.get_by_role("main")).to_contain_text(re.compile(r"(?<!\d)53\s*only on this phone"))
    shelf.folder = newer
    page.reload()
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_visible(timeout=LONG)
    phone.offline()
    before = page.evaluate(KEPT)
    assert (len(before["outbox"]), len(before["photos"]), page.evaluate(VERSION)) == (53, 3, NOW)

    loads, others = loads_of(page), loads_of(second)
    page.get_by_role("button", name="Update").click()
    until(page, f"{VERSION}.then((version) => version === {NOW + 1})")
    after = page.evaluate(KEPT)
    assert (after["outbox"], after["photos"]) == (before["outbox"], before["photos"])
    assert json.loads(after["backup"]) == {"from": NOW, "ops": before["outbox"]}

    assert others == []  # the older page is left as it is

    # The page of the older release meets the newer database, and says so.
    second.get_by_role("link", name="Diary").click()
    told = second.get_by_text("A newer Underboard has been used here. Reload this page; nothing is lost.")
    expect(told).to_be_visible()
    assert len(loads) == 1, loads
    second.reload()
    expect(second.get_by_role("heading", name="Diary", exact=True)).to_be_visible(timeout=LONG)
    expect(told).to_be_hidden()

    shelf.home = f"127.0.0.1:{at_home.port}"
    phone.offline(False)
    sync(phone)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"0\s*photos waiting"), timeout=LONG)
    there = {record["id"]: record["body"].get("note") for record in counts_of(at_home, plot)}
    assert promised.items() <= there.items() and len(there) == 54
    assert page.evaluate(VERSION) == NOW + 1 and not phone.errors


def test_an_older_and_a_newer_server_leave_what_is_queued_where_it_is(
    at_home: ServerProcess, new_phone: Make, storm: Path
) -> None:
    """By what `hello` says, and by the refusal of a push; then the ages fit again and everything goes out."""
    plot = new_plot(at_home)
    phone = joined(new_phone, at_home, at_home.url, plot)
    page, _ = open_bare(phone, storm)
    page.evaluate("storm.queue(5)")
    for change in ({"protocol": 2}, {"schema": {"min": 9, "max": 12}}, {"protocol": 0}):
        phone.context.route("**/api/v1/hello", other_age(change))
        of_another_age(phone)
        phone.context.unroute_all(behavior="wait")  # an answer may be half made
    problem = {"type": "/problems/schema", "title": "Too old", "status": 409, "min": 9, "max": 12}
    refusal = {"status": 409, "content_type": "application/problem+json", "body": json.dumps(problem)}
    phone.context.route(PUSH, lambda route: route.fulfill(**refusal))
    of_another_age(phone)
    phone.context.unroute_all(behavior="wait")
    sync(phone)
    assert len(counts_of(at_home, plot)) == 6


def other_age(change: dict[str, Any]) -> Callable[[Route], None]:
    """Let the server's own greeting through, with these members changed."""

    def handle(route: Route) -> None:
        greeting = {**route.fetch().json(), **change}
        route.fulfill(json=greeting)

    return handle


def of_another_age(phone: Phone) -> None:
    page = phone.go("/sync")
    page.get_by_role("button", name="Sync now").click(timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text("are of different ages", timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"(?<!\d)5\s*only on this phone"))


RELEASED = sorted((ROOT / "fixtures" / "phone_stores").glob("*.json"))


def test_every_version_of_the_phones_database_is_kept() -> None:
    """A new step asks for its fixture; tests/browser/keep_phone_store.py makes it."""
    assert [path.stem for path in RELEASED] == [f"{version:04}" for version in VERSIONS]


@pytest.mark.parametrize("release", RELEASED, ids=lambda path: f"version {int(path.stem)}")
def test_the_database_of_a_release_is_opened_whole_and_its_queue_accepted(
    release: Path, at_home: ServerProcess, new_phone: Make, storm: Path
) -> None:
    kept = json.loads(release.read_text("utf-8"))
    plot = new_plot(at_home)
    own = settled_at(kept, plot, at_home)
    phone = new_phone(at_home.url)
    page, _ = open_bare(phone, storm)
    page.evaluate("(copy) => storm.buildStore(copy)", own)
    before = copy_of(page)
    page.evaluate("storm.upgrading()")
    after = copy_of(page)
    for name, rows in before["rows"].items():
        known = [row for row in after["rows"][name] if row.get("key") != "backup"]
        assert known == rows, name
    walk = next(row["id"] for row in before["rows"]["records"] if row["type"] == "round")
    page.evaluate("storm.close()")
    code = at_home.code_for(plot)
    phone.go(f"/round/{walk}")
    planks = page.get_by_label("Boards in walking order").get_by_role("button")
    expect(planks.filter(has_text="Board 1")).to_contain_text("7", timeout=LONG)
    expect(planks.filter(has_text="Board 2")).to_contain_text("3")
    page, _ = open_bare(phone, storm)
    assert page.evaluate("(code) => storm.pair(code, 'the same phone')", code)["ok"]
    assert page.evaluate("storm.sync()") == "idle"
    assert copy_of(page)["rows"]["outbox"] == []
    ops = [op for op in before["rows"]["outbox"] if op["kind"] == "put"]
    there = {record["id"]: record for record in at_home.records(plot, bearer(at_home, plot))}
    for op in ops:
        record = there[op["id"]]
        sides = [record["body"], *(side["set"] for side in record["conflicts"])]
        assert any(op["set"].items() <= side.items() for side in sides), op
    assert all(row["state"] == "sent" for row in copy_of(page)["rows"]["photos"])


def settled_at(kept: dict[str, Any], plot: str, server: ServerProcess) -> dict[str, Any]:
    """The kept database as that of a phone of this plot, whose server was put up anew meanwhile."""
    paired = next(row["value"] for row in kept["rows"]["meta"] if row["key"] == "paired")
    server_id = server.call("GET", "/api/v1/hello")["server_id"]
    text = json.dumps(kept).replace(paired["plot_id"], plot).replace(paired["server_id"], server_id)
    copy: dict[str, Any] = json.loads(text)
    return copy
