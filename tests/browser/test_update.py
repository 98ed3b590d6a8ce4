"""A newer client: offered, taken at a tap with one reload, and never at the cost of what is on the phone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Phone, starts_offline, until
from tests.browser.shelf import PWA, Shelf, build_with

pytestmark = pytest.mark.browser

BUILT = PWA.parent / "server" / "underboard" / "web" / "client"
WELCOME = "Turn the first board"


def build(folder: Path, welcome: str) -> Path:
    """Build a client whose welcome says something else."""
    return build_with(folder, {"text/en/now.ts": (WELCOME, welcome)})


@pytest.fixture(scope="module")
def builds(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The client as it is built, and one that is newer."""
    return BUILT, build(tmp_path_factory.mktemp("new"), "The newer one")


@pytest.fixture
def shelf(builds: tuple[Path, Path], tmp_path: Path) -> Iterator[Shelf]:
    served = Shelf(builds[0])
    yield served
    served.close()


def count_loads(page: Page) -> list[str]:
    loads: list[str] = []
    page.on("framenavigated", lambda frame: loads.append(frame.url))
    return loads


def open_controlled(phone: Phone) -> Page:
    page = phone.go("/")
    starts_offline(page)
    page.reload()
    until(page, "navigator.serviceWorker.controller !== null")
    expect(page.get_by_role("heading", name=WELCOME)).to_be_visible()
    return page


def test_an_update_waits_to_be_accepted_and_reloads_once(
    new_phone: Callable[..., Phone], shelf: Shelf, builds: tuple[Path, Path]
) -> None:
    phone = new_phone(shelf.url)
    page = open_controlled(phone)
    shelf.folder = builds[1]
    page.reload()
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_visible()
    expect(page.get_by_role("heading", name=WELCOME)).to_be_visible()
    page.get_by_role("button", name="Later").click()
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_hidden()
    page.reload()
    expect(page.get_by_role("heading", name=WELCOME)).to_be_visible()

    loads = count_loads(page)
    page.get_by_role("button", name="Update").click()
    expect(page.get_by_role("heading", name="The newer one")).to_be_visible()
    page.wait_for_timeout(1500)
    assert len(loads) == 1, loads
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_hidden()
    assert not phone.errors


def test_what_is_on_the_phone_survives_the_update(
    new_phone: Callable[..., Phone], shelf: Shelf, builds: tuple[Path, Path]
) -> None:
    phone = new_phone(shelf.url)
    page = open_controlled(phone)
    count = "indexedDB.databases().then((found) => found.map((one) => [one.name, one.version]))"
    before = page.evaluate(count)
    page.evaluate("localStorage.setItem('underboard.look', 'dawn')")
    shelf.folder = builds[1]
    page.reload()
    page.get_by_role("button", name="Update").click()
    expect(page.get_by_role("heading", name="The newer one")).to_be_visible()
    assert before and page.evaluate(count) == before
    expect(page.locator("html")).to_have_attribute("data-look", "dawn")


def test_half_an_update_leaves_the_old_client_in_use(
    new_phone: Callable[..., Phone], shelf: Shelf, builds: tuple[Path, Path]
) -> None:
    phone = new_phone(shelf.url)
    page = open_controlled(phone)
    old, new = ({path.name for path in (folder / "assets").iterdir()} for folder in builds)
    shelf.broken = {f"/assets/{name}" for name in sorted(new - old)[:1]}
    assert shelf.broken
    shelf.folder = builds[1]
    page.reload()
    for _ in range(600):  # until it has tried
        if shelf.broken & set(shelf.asked):
            break
        page.wait_for_timeout(100)
    assert shelf.broken & set(shelf.asked)
    page.wait_for_timeout(1500)
    expect(page.get_by_role("heading", name=WELCOME)).to_be_visible()
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_hidden()
    phone.offline()
    page.reload()
    expect(page.get_by_role("heading", name=WELCOME)).to_be_visible()


def test_the_worker_never_asks_for_the_api_or_the_version(
    new_phone: Callable[..., Phone], shelf: Shelf
) -> None:
    phone = new_phone(shelf.url)
    from_worker: list[str] = []
    phone.context.on(
        "request", lambda request: from_worker.append(request.url) if request.service_worker else None
    )
    page = open_controlled(phone)
    page.goto(f"{shelf.url}/round/none")
    page.evaluate("fetch('/api/v1/hello').catch(() => null)")
    page.wait_for_timeout(500)
    assert from_worker
    assert not [url for url in from_worker if "/api/" in url or "version.json" in url]
    assert page.evaluate("fetch('/api/v1/hello').then((answer) => answer.status)") == 404
