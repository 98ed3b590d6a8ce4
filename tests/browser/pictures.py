"""Screenshots of every screen, taken from the demo plot on a real server; see tests/browser/screens."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Page, Playwright, ViewportSize, sync_playwright

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import push
from tests.browser.warned import (
    MORNING,
    NIGHT,
    cold_morning,
    joined,
    new_warned_plot,
    records_of_evening,
    synced,
    type_evening,
)

LOOKS = ("dawn", "day")
SCREENS = ("plot", "diary", "findings", "sync", "traps", "readings", "evening", "trials")
LAPTOP: ViewportSize = {"width": 1280, "height": 860}
SETTLED_MS = 2500  # a screenshot is for people; what is still fading in does no harm


def take(playwright: Playwright, server: ServerProcess, plot: str, look: str, folder: Path) -> None:
    """Join as a new phone and walk through every screen in one look."""
    with TemporaryDirectory() as profile:
        phone = Phone(playwright, Path(profile), server.url)
        page = phone.page
        page.set_default_timeout(60_000)
        page.add_init_script(f"localStorage.setItem('underboard.look', '{look}')")
        phone.go("/")
        shoot(page, folder, look, "0-welcome")
        phone.go(f"/#pair={server.code_for(plot)}")
        join = page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first
        join.wait_for()
        shoot(page, folder, look, "1-join")
        join.click()
        page.get_by_label("Your name").wait_for()
        shoot(page, folder, look, "2-name")
        page.get_by_label("Your name").fill("Maren")
        page.get_by_role("button", name="Next").click()
        page.get_by_role("button", name=re.compile("round")).first.wait_for()
        shoot(page, folder, look, "3-now", whole=True)
        walk(page, folder, look)
        for number, name in enumerate(SCREENS, start=7):
            phone.go(f"/{name}")
            shoot(page, folder, look, f"{number}-{name}", whole=True)
        sketch(phone, folder, look)
        season(phone, folder, look)
        phone.close()


def sketch(phone: Phone, folder: Path, look: str) -> None:
    """The layers of the sketch, the sheet of a bed, the editor; then the same as wide as a laptop."""
    page = phone.go("/plot")
    page.locator(".bed-value").first.wait_for()
    for layer in ("Slugs", "Wireworm", "Treated", "Crops", "Soil"):
        page.get_by_role("radio", name=layer).check()
        shoot(page, folder, look, f"plot-{layer.lower()}")
    page.get_by_role("radio", name="Slugs").check()
    page.locator("g[data-place]").nth(8).press("Enter")
    shoot(page, folder, look, "plot-sheet")
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Edit sketch").click()
    shoot(page, folder, look, "plot-editor")
    page.locator("g[data-place]").nth(4).press("Enter")
    shoot(page, folder, look, "plot-chosen")
    phone_size = page.viewport_size
    page.set_viewport_size(LAPTOP)
    shoot(page, folder, look, "plot-editor-laptop")
    page.get_by_role("button", name="Done", exact=True).click()
    shoot(page, folder, look, "plot-laptop")
    if phone_size:
        page.set_viewport_size(phone_size)


def season(phone: Phone, folder: Path, look: str) -> None:
    """The diary's crops and cultures, and the forms that are opened from them."""
    page = phone.go("/diary")

    def sheet(button: str, name: str) -> None:
        page.get_by_role("button", name=button).first.click()
        shoot(page, folder, look, name)
        page.get_by_role("dialog").get_by_role("button", name="Close").click()

    sheet("Damage", "30-damage")
    sheet("Soil cores", "31-soil-cores")
    page.get_by_role("radio", name="Crops", exact=True).check()
    shoot(page, folder, look, "32-crops")
    sheet("Start a crop", "33-start-a-crop")
    sheet("What happened?", "34-what-happened")
    page.get_by_role("radio", name="Cultures", exact=True).check()
    shoot(page, folder, look, "35-cultures", whole=True)
    sheet("Count drops", "36-count-drops")
    sheet("How much for a bed?", "37-dose")


def take_warnings(playwright: Playwright, server: ServerProcess, look: str, folder: Path) -> None:
    """A cold evening in May and the morning after it, on a plot of its own; the page's clock is turned to them."""
    plot, headers = new_warned_plot(server)
    push(server, headers, plot, records_of_evening(plot, 4.5, 3.0))
    server.run("warn", "--at", NIGHT.isoformat(), "--plot", plot)
    with TemporaryDirectory() as profile:
        phone = joined(lambda url, _name: Phone(playwright, Path(profile), url), server, plot, "Maren")
        page = phone.page
        page.add_init_script(f"localStorage.setItem('underboard.look', '{look}')")
        phone.context.clock.set_fixed_time(NIGHT)
        synced(phone)
        phone.go("/")
        page.get_by_role("article").first.wait_for()
        shoot(page, folder, look, "20-now-warned", whole=True)
        page.get_by_role("article").first.get_by_role("link").first.click()
        shoot(page, folder, look, "21-warning", whole=True)
        for number, path in ((22, "warnings"), (23, "watch"), (24, "watch/frost")):
            phone.go(f"/{path}")
            shoot(page, folder, look, f"{number}-{path.replace('/', '-')}", whole=True)
        phone.go("/evening")
        type_evening(page, "5", "3")
        shoot(page, folder, look, "25-evening-told", whole=True)
        page.get_by_role("button", name="Save evening").click()
        push(server, headers, plot, cold_morning(plot))
        synced(phone)
        phone.context.clock.set_fixed_time(MORNING)
        phone.go("/")
        shoot(page, folder, look, "26-now-morning", whole=True)
        phone.close()


def walk(page: Page, folder: Path, look: str) -> None:
    """Begin a round, count a little, ask why a board could not be turned, look at the end."""
    page.get_by_role("button", name="Start the dawn round").click()
    plus = page.get_by_role("button", name="One more slug")
    for _ in range(3):
        plus.click()
    page.get_by_role("button", name="Next board").click()
    page.get_by_role("button", name="None here", exact=True).click()
    shoot(page, folder, look, "4-round")
    page.get_by_role("button", name="Could not turn", exact=True).click()
    shoot(page, folder, look, "5-could-not-turn")
    page.get_by_role("button", name="Crop in the way").click()
    page.get_by_role("button", name="Finish", exact=True).click()
    shoot(page, folder, look, "6-end-of-round")
    # The next look begins a round of its own.
    page.get_by_role("button", name=re.compile("^Finish the round")).click()


def shoot(page: Page, folder: Path, look: str, name: str, whole: bool = False) -> None:
    page.wait_for_timeout(SETTLED_MS)
    page.screenshot(path=folder / f"{name}-{look}.png", full_page=whole)
    print(folder / f"{name}-{look}.png")


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory() as data, sync_playwright() as playwright:
        server = ServerProcess(Path(data)).without_jobs()
        server.start()
        try:
            for look in LOOKS:
                take(playwright, server, server.run("demo")["plot_id"], look, folder)
                take_warnings(playwright, server, look, folder)
        finally:
            server.stop()


if __name__ == "__main__":
    main()
