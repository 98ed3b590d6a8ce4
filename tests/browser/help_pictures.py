"""Screenshots for the help, from the demo and from a cold night; see tests/browser/help_pictures.

They show what a reader will meet: a phone at phone size, the day's look by day and the dawn's at night. Few colours
keep each below 60 kB.
"""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zoneinfo import ZoneInfo

from PIL import Image
from playwright.sync_api import Page, Playwright, sync_playwright

from tests.browser.kept_pictures import pin_fonts
from tests.browser.phone import Phone
from tests.browser.picture_walk import wear_dawn, wear_day
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, push
from tests.browser.steps import goto, settle
from tests.browser.warned import (
    NIGHT,
    ZONE,
    joined,
    new_warned_plot,
    records_of_evening,
    synced,
    type_evening,
)

FOLDER = Path(__file__).parents[2] / "deploy" / "docs" / "pictures"
COLOURS = 64
LARGEST = 60_000
AGENTS = {
    "iphone": "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 Version/18.0 Safari/604.1",
    "android": "Mozilla/5.0 (Linux; Android 15; Phone) AppleWebKit/537.36 Chrome/130.0 Mobile Safari/537.36",
}


def shoot(page: Page, name: str) -> None:
    """Take what is on the screen, at one and a half points a pixel, and keep it small."""
    pin_fonts(page)
    page.wait_for_timeout(300)
    file = FOLDER / f"{name}.png"
    page.screenshot(path=file, animations="disabled", caret="hide")
    with Image.open(file) as shot:
        few = shot.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(file, optimize=True)
    print(f"{file} {file.stat().st_size // 1000} kB")
    assert file.stat().st_size <= LARGEST, f"{name} is too large"


def phone_of(playwright: Playwright, folder: Path, url: str, **options: Any) -> Phone:
    return Phone(playwright, folder, url, reduced_motion="reduce", device_scale_factor=1.5, **options)


def morning(playwright: Playwright, server: ServerProcess, folder: Path) -> None:
    """The demo's first morning: joining, Now, a round, Sync, what the beds and boards say."""
    plot = server.run("demo")["plot_id"]
    phone = phone_of(playwright, folder / "morning", server.url)
    page = phone.go("/")
    page.set_default_timeout(LONG)
    page.evaluate("localStorage.setItem('underboard.look', 'day')")
    page.reload()
    page.get_by_role("heading").first.wait_for()
    settle(page)
    shoot(page, "welcome")
    phone.go(f"/#pair={server.code_for(plot)}")
    join = page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first
    join.wait_for()
    settle(page)
    shoot(page, "join")
    join.click()
    page.get_by_label("Your name").fill("Maren")
    shoot(page, "name")
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Start the dawn round").wait_for()
    settle(page)
    # The reader's first morning, whenever the pictures are taken.
    now = datetime.now(ZoneInfo(ZONE))
    phone.context.clock.set_fixed_time(now.replace(hour=8, minute=0))
    goto(page, "/plot")
    goto(page, "/")
    page.get_by_role("heading", name="Dawn round").wait_for()
    settle(page)
    shoot(page, "now")
    phone.context.clock.set_fixed_time(now)
    walk(page)
    for path, name in (
        ("/sync", "sync"),
        ("/traps", "traps"),
        ("/findings", "findings"),
        ("/trials", "trials"),
    ):
        goto(page, path)
        settle(page)
        if name == "traps":
            page.get_by_role("heading", name="What the beds say").scroll_into_view_if_needed()
        if name == "findings":
            page.locator("main svg, main canvas").first.wait_for()
        shoot(page, name)
    phone.close()


def walk(page: Page) -> None:
    """Three slugs, a clean board, one that could not be turned, the end."""
    page.get_by_role("button", name="Start the dawn round").click()
    plus = page.get_by_role("button", name="One more slug")
    for _ in range(3):
        plus.click()
    settle(page)
    shoot(page, "round")
    page.get_by_role("button", name="Next board").click()
    page.get_by_role("button", name="None here", exact=True).click()
    page.get_by_role("button", name="Could not turn", exact=True).click()
    settle(page)
    shoot(page, "could-not-turn")
    page.get_by_role("button", name="Crop in the way").click()
    page.get_by_role("button", name="Finish", exact=True).click()
    settle(page)
    shoot(page, "end-of-round")
    page.get_by_role("button", name=re.compile("^Finish the round")).click()
    page.get_by_role("heading", name="Now", exact=True).wait_for()


def night(playwright: Playwright, server: ServerProcess, folder: Path) -> None:
    """A clear evening in May and the warning that it brings."""
    plot, headers = new_warned_plot(server)
    push(server, headers, plot, records_of_evening(plot, 4.5, 3.0))
    server.run("warn", "--at", NIGHT.isoformat(), "--plot", plot)
    phone = joined(lambda url, _name: phone_of(playwright, folder / "night", url), server, plot, "Maren")
    phone.context.clock.set_fixed_time(NIGHT)
    page = synced(phone)
    goto(page, "/")
    wear_dawn(page)
    page.get_by_role("article").first.wait_for(timeout=LONG)
    settle(page)
    shoot(page, "frost-warning")
    goto(page, "/evening")
    type_evening(page, "5", "3")
    settle(page)
    page.get_by_text(
        re.compile("Frost in the open|Little danger|Frost may hurt")
    ).first.scroll_into_view_if_needed()
    shoot(page, "evening")
    wear_day(page)
    phone.close()


def installing(playwright: Playwright, server: ServerProcess, folder: Path) -> None:
    """The page that helps a phone to trust the household, as two kinds of phone see it."""
    for name, agent in AGENTS.items():
        phone = phone_of(playwright, folder / name, server.url, user_agent=agent)
        page = phone.go("/install-ca")
        page.locator("details[open]").first.scroll_into_view_if_needed()
        page.evaluate("document.querySelector('details[open]').scrollIntoView()")
        shoot(page, f"install-{name}")
        phone.close()


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    with TemporaryDirectory() as folder, sync_playwright() as playwright:
        data = Path(folder) / "data"
        data.mkdir()
        server = ServerProcess(data).without_jobs()
        server.run("certificate", "--name", "plot.home.arpa")
        server.start()
        try:
            morning(playwright, server, Path(folder))
            night(playwright, server, Path(folder))
            installing(playwright, server, Path(folder))
        finally:
            server.stop()


if __name__ == "__main__":
    main()
