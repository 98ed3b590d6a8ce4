"""Screens look as they did when somebody last looked at them and said so (tests/browser/accept_pictures)."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import Playwright

from tests.browser.kept_pictures import KEPT, difference, shoot
from tests.browser.picture_walk import take
from tests.browser.server import ServerProcess

pytestmark = pytest.mark.browser


def test_the_screens_look_as_they_are_kept(
    playwright: Playwright, server: ServerProcess, tmp_path: Path
) -> None:
    told: list[str] = []
    names: set[str] = set()
    for name, page in take(playwright, server.without_jobs().start(), tmp_path):
        names.add(name)
        fresh = shoot(page, tmp_path / f"{name}.png")
        found = difference(name, fresh)
        told += [found.words(name, fresh)] if found else []
    assert not told, "\n".join(told)
    assert names == {kept.stem for kept in KEPT.glob("*.png")}


def test_a_changed_word_is_found_and_its_place_said(tmp_path: Path) -> None:
    """A blot as large as a short word, on a kept picture."""
    name = "plot-day"
    with Image.open(KEPT / f"{name}.png") as kept:
        changed = kept.convert("RGB")
    changed.save(tmp_path / "same.png")
    assert difference(name, tmp_path / "same.png", exact=True) is None
    assert difference(name, tmp_path / "same.png", exact=False) is None
    ImageDraw.Draw(changed).rectangle((100, 60, 124, 72), fill=(255, 0, 255))
    changed.save(tmp_path / "blot.png")
    found = difference(name, tmp_path / "blot.png", exact=True)
    assert found is not None
    left, top, right, bottom = found.place
    assert (left, top, right, bottom) == pytest.approx((100, 60, 125, 73), abs=3)
    ImageDraw.Draw(changed).rectangle((40, 300, 200, 348), fill=(255, 0, 255))  # as large as a key
    changed.save(tmp_path / "key.png")
    assert difference(name, tmp_path / "key.png", exact=False) is not None
