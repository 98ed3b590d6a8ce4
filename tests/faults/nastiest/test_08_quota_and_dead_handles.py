"""A full phone and a database whose handle dies: a record is saved, or its form stays open and says so. Nothing is
called saved that is not on the disk.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import CDPSession, Locator, Page, expect

from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import (
    LONG,
    board,
    correct,
    counts_of,
    new_plot,
    open_count,
    phone_of,
    shows,
    sync,
)
from tests.browser.small_plot import walk_path as round_path
from tests.faults.kills.bare_page import Copy, copy_of, open_bare
from tests.faults.kills.phone_phases import record_and_outbox_agree

pytestmark = pytest.mark.browser
Make = Callable[..., Phone]

QUOTA = 5_000_000
# As Chromium mostly does, which adds ten gigabytes to whatever is used: the guess must not be what protects.
PLENTY = "navigator.storage.estimate = async () => ({ usage: 1e6, quota: 1e10 });"
# As on an iPhone that was locked (dexie/Dexie.js issue 2008); `dying` says how often: 0 never, 1 always.
DYING = """
  globalThis.dying = 7;
  let calls = 0;
  const real = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (...args) {
    calls += 1;
    if (globalThis.dying > 0 && calls % globalThis.dying === 0) {
      globalThis.died = (globalThis.died ?? 0) + 1;
      throw new DOMException('Connection to Indexed Database server lost.', 'UnknownError');
    }
    return real.apply(this, args);
  };
"""
NOT_SAVED = re.compile("Not saved")


def noisy_picture(path: Path, seed: int) -> Path:
    """1600 × 1200 points that do not pack: about a megabyte once the phone has drawn it anew."""
    points = np.random.default_rng(seed).integers(0, 256, (1200, 1600, 3), dtype=np.uint8)
    Image.fromarray(points).save(path, quality=80)
    return path


def with_quota(phone: Phone, url: str, size: int | None) -> CDPSession:
    """Let the browser give this address so much room and no more, as long as the answer is kept."""
    session = phone.context.new_cdp_session(phone.page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": url, **({"quotaSize": size} if size else {})})
    return session


def count_on(copy: Copy, station_end: str) -> int:
    """What a board has, as its person sees it."""
    bodies: dict[str, dict[str, Any]] = {row["id"]: dict(row["body"]) for row in copy["rows"]["records"]}
    for op in sorted(copy["rows"]["outbox"], key=lambda one: int(one["n"])):
        bodies[op["id"]].update(op["set"])
    (found,) = [
        b for b in bodies.values() if str(b.get("station_id", "")).endswith(station_end) and "count" in b
    ]
    return int(found["count"])


def drawn(page: Page) -> int:
    """The number of the open board, drawn as saved."""
    number = page.locator(".turned-number[data-saved=counted] .turned-figure")
    return int(number.inner_text())


def not_saved(page: Page, button: Locator) -> None:
    """Saving is tried to its end, which the button says, for the draft says by itself that there is no room."""
    button.click()
    expect(page.get_by_text(NOT_SAVED)).to_be_visible(timeout=LONG)
    expect(button).to_have_attribute("aria-busy", "false", timeout=LONG)
    expect(page.get_by_label("Slugs", exact=True)).to_have_value("9")


def test_photos_stop_before_counts_do_and_a_form_that_does_not_fit_stays_open(
    at_home: ServerProcess, new_phone: Make, storm: Path, tmp_path: Path
) -> None:
    plot = new_plot(at_home)
    phone: Phone | None = None

    def limited(url: str, name: str) -> Phone:
        nonlocal phone
        phone = new_phone(url, name)
        phone.context.add_init_script(PLENTY)
        sessions.append(with_quota(phone, url, QUOTA))
        return phone

    sessions: list[CDPSession] = []
    page = phone_of(limited, at_home, plot, "Ada").page
    assert phone is not None
    assert sessions[0].send("Storage.getUsageAndQuota", {"origin": at_home.url})["overrideActive"]
    phone.offline()
    board(page, 2)
    refused = page.get_by_text(re.compile("full", re.IGNORECASE))
    taken = 0
    for seed in range(12):
        page.locator("input[type=file]").first.set_input_files(noisy_picture(tmp_path / f"{seed}.jpg", seed))
        photo = page.get_by_role("region", name="Board 2", exact=True).get_by_text(f"{seed + 1} photo")
        expect(photo.or_(refused).first).to_be_visible(timeout=LONG)
        if refused.first.is_visible():
            break
        taken = seed + 1
    assert 0 < taken < 12
    # Photos have stopped: counts and forms go on in the room that was kept for them.
    for _ in range(10):
        page.get_by_role("button", name="One more slug").click()
    shows(page, 2, "10")
    correct(page, 8)
    expect(page.get_by_text(NOT_SAVED)).to_be_hidden()

    # Somebody writes until nothing fits any more: what was promised is there.
    page, _ = open_bare(phone, storm)
    page.evaluate("storm.filling(4000)")
    copy = copy_of(page)
    record_and_outbox_agree(copy)
    assert (count_on(copy, "c1"), count_on(copy, "c2")) == (8, 10)
    assert sum(len(row["body"].get("note", "")) > 3_000 for row in noted(copy)) == page.evaluate(
        "storm.filled()"
    )

    phone.go(round_path(plot))
    open_count(page)
    page.get_by_label("Slugs", exact=True).fill("9")
    page.get_by_label("Note", exact=True).last.fill("x" * 3_900)
    button = page.get_by_role("button", name="Save change")
    not_saved(page, button)

    with_quota(phone, at_home.url, None)
    for session in sessions:
        session.detach()
    button.click()
    expect(button).to_be_hidden(timeout=LONG)
    expect(page.get_by_text(NOT_SAVED)).to_be_hidden()
    assert len(sessions) == 1


def noted(copy: Copy) -> list[dict[str, Any]]:
    typed = [{"body": op["set"]} for op in copy["rows"]["outbox"]]
    return [*copy["rows"]["records"], *typed]


def test_a_handle_that_dies_on_every_seventh_transaction_loses_nothing(
    at_home: ServerProcess, new_phone: Make, storm: Path
) -> None:
    plot = new_plot(at_home)
    phone = phone_of(new_phone, at_home, plot, "Ada")
    phone.context.add_init_script(DYING)
    page = phone.go(round_path(plot))
    expect(page.get_by_role("button", name="One more slug")).to_be_visible(timeout=LONG)
    board(page, 2)
    for _ in range(30):
        page.get_by_role("button", name="One more slug").click()
    shows(page, 2, "30")
    assert page.evaluate("globalThis.died") > 5
    correct(page, 8)
    expect(page.get_by_text(NOT_SAVED)).to_be_hidden()

    # It stays dead: nothing is drawn as counted, the form stays open with what was typed.
    phone.go(round_path(plot))
    board(page, 2)
    until(page, "document.querySelector('.turned-figure')?.textContent === '30'")
    page.evaluate("globalThis.dying = 1")
    page.get_by_role("button", name="One more slug").click()
    expect(page.get_by_text(NOT_SAVED)).to_be_visible(timeout=LONG)
    assert drawn(page) == 30
    page.evaluate("globalThis.dying = 0")
    open_count(page)
    page.get_by_label("Slugs", exact=True).fill("9")
    page.evaluate("globalThis.dying = 1")
    button = page.get_by_role("button", name="Save change")
    not_saved(page, button)
    page.evaluate("globalThis.dying = 7")
    button.click()
    expect(button).to_be_hidden(timeout=LONG)
    expect(page.get_by_text(NOT_SAVED)).to_be_hidden()

    page, _ = open_bare(phone, storm)
    page.evaluate("globalThis.dying = 0")
    copy = copy_of(page)
    record_and_outbox_agree(copy)
    assert (count_on(copy, "c1"), count_on(copy, "c2")) == (9, 30)
    sync(phone)  # the handle dies under the sync as well
    assert sorted(r["body"]["count"] for r in counts_of(at_home, plot)) == [9, 30]
