"""Every screen and state, in both looks, at twice the text size, with motion asked to rest: axe finds nothing, every
target fits a wet glove, nothing is cut off; and every control can be reached and left by keyboard alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright

from tests.browser.accessible import faults_of, focus_faults
from tests.browser.every_state import empty_plot, full_plot, paths_of_the_app
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG
from tests.browser.steps import goto, settle
from tests.browser.warned import joined

pytestmark = [pytest.mark.browser, pytest.mark.timeout(900)]  # a hundred states; a machine may be loaded


@pytest.fixture(scope="module")
def server(
    tmp_path_factory: pytest.TempPathFactory, demo_in: Callable[[Path], str]
) -> Iterator[ServerProcess]:
    process = ServerProcess(tmp_path_factory.mktemp("data")).without_jobs()
    demo_in(process.data)
    yield process.start()
    process.stop()


@pytest.fixture(scope="module")
def phone(
    playwright: Playwright,
    server: ServerProcess,
    tmp_path_factory: pytest.TempPathFactory,
    demo_plot: str,
) -> Iterator[Phone]:
    """A phone of the demo plot whose person has asked for less motion."""
    profile = tmp_path_factory.mktemp("profile")
    phone = joined(
        lambda url, _name: Phone(playwright, profile, url, reduced_motion="reduce"),
        server,
        demo_plot,
        "Maren",
    )
    yield phone
    phone.close()


def walked(page: Page, states: Iterator[str]) -> tuple[list[str], list[str]]:
    """Names of the states, and all faults of all of them, so that one run tells everything."""
    names, faults = [], []
    for name in states:
        names.append(name)
        faults += faults_of(page, name)
    return names, faults


def test_every_screen_of_a_full_plot(phone: Phone) -> None:
    names, faults = walked(phone.page, full_plot(phone.page))
    assert not faults, "\n".join(faults)
    missing = set(paths_of_the_app()) - set(names) - {"/start", "/join"}
    assert not missing, f"no state of these screens is looked at: {missing}"
    assert phone.errors == []


def test_every_screen_of_an_empty_plot(playwright: Playwright, server: ServerProcess, tmp_path: Path) -> None:
    code = server.code_for(None)
    phone = Phone(playwright, tmp_path / "newcomer", server.url, reduced_motion="reduce")
    try:
        page = phone.go(f"/#pair={code}")
        page.locator("h1").first.wait_for(timeout=LONG)
        settle(page)
        _, faults = walked(page, empty_plot(page))
    finally:
        phone.close()
    assert not faults, "\n".join(faults)


def test_the_checks_themselves_find_what_is_wrong(phone: Phone) -> None:
    """A word too faint in one look only, a small button, a picture without words, something wider than the phone."""
    goto(phone.page, "/warnings")
    assert faults_of(phone.page, "before") == []
    phone.page.evaluate(
        """() => {
          const bad = document.createElement('div');
          const put = (tag, text, style) => {
            const one = document.createElement(tag);
            one.textContent = text;
            Object.assign(one.style, style);
            bad.append(one);
            return one;
          };
          put('p', 'Too faint by day', { color: '#cfc8b9' }).className = 'faint';
          put('button', 'x', { minBlockSize: 0, minInlineSize: 0, blockSize: '20px', padding: 0 });
          put('img', '', {}).src = '/favicon.ico';
          put('p', 'Broad', { inlineSize: '30rem' });
          document.querySelector('main').append(bad);
        }"""
    )
    found = "\n".join(faults_of(phone.page, "planted"))
    phone.page.evaluate("document.querySelector('main').lastElementChild.remove()")
    assert re.search(r"day look, color-contrast: \.faint", found), found
    assert re.search(r'button\. "x" is \d+x20', found), found
    assert re.search(r"planted: image-alt: ", found), found
    assert re.search(r'at twice the text size, "Broad" goes from', found), found


def test_the_keyboard_alone_reaches_and_leaves_every_control(phone: Phone) -> None:
    faults = []
    for path in (
        "/",
        "/plot",
        "/diary",
        "/findings",
        "/sync",
        "/traps",
        "/readings",
        "/evening",
        "/watch/frost",
    ):
        goto(phone.page, path)
        faults += focus_faults(phone.page, path)
    assert not faults, "\n".join(faults)
