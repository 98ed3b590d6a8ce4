"""Pictures of screens that should look tomorrow as they do today, and how far apart two pictures may be.

`tests/browser/accept_pictures [NAME…]` takes them anew after somebody has looked at what changed.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image, ImageChops, ImageFilter
from playwright.sync_api import Page, Playwright, sync_playwright

from tests.browser.phone import CHROMIUM, Phone
from tests.browser.server import ServerProcess

KEPT = Path(__file__).parent / "pictures_kept"
MADE_WITH = KEPT / "made_with.json"
FONTS = {"--font-text": "Liberation Sans", "--font-head": "Liberation Serif"}
COLOURS = 128  # kept small: a palette is enough to see by

# The same browser and fonts draw the same picture but for a few edges of letters (measured: none on one machine).
EDGE = 40  # of 255: what rounding to the palette and the smoothing of letters may change
FEW = 40  # pixels of 266,400: less than one letter of the smallest text
# Another browser or font draws other letters: then only what is as large as a key or a card is told.
COARSE = 8
COARSE_EDGE = 36
COARSE_FEW = 20


@dataclass(frozen=True)
class Difference:
    """Where and how much two pictures differ; `place` in CSS pixels from the left and the top."""

    pixels: int
    place: tuple[int, int, int, int]
    exact: bool

    def words(self, name: str, fresh: Path) -> str:
        left, top, right, bottom = self.place
        how = (
            ""
            if self.exact
            else " (looked at coarsely: this browser or its fonts are not those of the kept picture)"
        )
        return (
            f"{name}: {self.pixels} pixels differ, between {left} and {right} from the left and {top} and {bottom} "
            f"from the top{how}. Fresh picture and difference: {fresh.parent}. "
            f"If that is how it should look: tests/browser/accept_pictures {name}"
        )


def made_with() -> dict[str, str]:
    """What draws the letters here."""
    chromium = subprocess.run([CHROMIUM, "--version"], capture_output=True, text=True, timeout=60).stdout
    return {"chromium": chromium.strip(), **{family: _file_of(family) for family in FONTS.values()}}


def _file_of(family: str) -> str:
    """Which file a font comes from here, by what is in it."""
    if not shutil.which("fc-match"):
        return "unknown"
    ask = ["fc-match", "-f", "%{file}", family]
    file = Path(subprocess.run(ask, capture_output=True, text=True, timeout=60).stdout)
    return (
        f"{file.name} {hashlib.sha256(file.read_bytes()).hexdigest()[:12]}" if file.is_file() else "unknown"
    )


def pin_fonts(page: Page) -> None:
    """The page takes whatever the phone reads best; pictures take the two that the checks install."""
    page.evaluate(
        "fonts => { for (const [name, family] of Object.entries(fonts))"
        " document.documentElement.style.setProperty(name, family) }",
        FONTS,
    )


def small(picture: Path) -> Image.Image:
    """As it is kept: few colours, no dithering."""
    with Image.open(picture) as shot:
        return shot.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE).convert("RGB")


def difference(name: str, fresh: Path, exact: bool | None = None) -> Difference | None:
    """None where the two are the same to the eye; else the difference, with a picture of it beside the fresh one."""
    with Image.open(KEPT / f"{name}.png") as kept_file:
        kept = kept_file.convert("RGB")
    now = small(fresh)
    if exact is None:
        exact = json.loads(MADE_WITH.read_text(encoding="utf-8")) == made_with()
    if kept.size != now.size:
        return Difference(kept.width * kept.height, (0, 0, *now.size), exact)
    scale = 1 if exact else COARSE
    if exact:
        pair = [one.filter(ImageFilter.BoxBlur(1)) for one in (kept, now)]
    else:
        pair = [
            one.resize((one.width // scale, one.height // scale), Image.Resampling.BOX) for one in (kept, now)
        ]
    apart = ImageChops.difference(*pair)
    strongest = ImageChops.lighter(ImageChops.lighter(*apart.split()[:2]), apart.split()[2])
    edge, few = (EDGE, FEW) if exact else (COARSE_EDGE, COARSE_FEW)
    mask = strongest.point([255 if value > edge else 0 for value in range(256)])
    pixels = mask.histogram()[255]
    box = mask.getbbox()
    if pixels <= few or box is None:
        return None
    mask.resize(now.size, Image.Resampling.NEAREST).save(fresh.with_name(f"{name}-difference.png"))
    left, top, right, bottom = (edge_at * scale for edge_at in box)
    return Difference(pixels, (left, top, right, bottom), exact)


def shoot(page: Page, file: Path) -> Path:
    """At one pixel a CSS pixel, with nothing moving and no cursor blinking."""
    pin_fonts(page)
    page.wait_for_timeout(200)
    page.screenshot(path=file, scale="css", animations="disabled", caret="hide")
    return file


Take = Callable[[Playwright, ServerProcess, Path], Iterator[tuple[str, Page]]]


def accept(take: Take, names: list[str]) -> None:
    """Take the pictures and keep those that differ (all of them, or only the named ones)."""
    KEPT.mkdir(exist_ok=True)
    known = MADE_WITH.exists() and json.loads(MADE_WITH.read_text(encoding="utf-8")) == made_with()
    with TemporaryDirectory() as folder, sync_playwright() as playwright:
        data = Path(folder) / "data"
        data.mkdir()
        server = ServerProcess(data).without_jobs().start()
        try:
            for name, page in take(playwright, server, Path(folder)):
                kept = KEPT / f"{name}.png"
                fresh = shoot(page, Path(folder) / f"{name}.png")
                if names and name not in names:
                    continue
                if known and kept.exists() and difference(name, fresh, exact=True) is None:
                    continue
                small(fresh).quantize(COLOURS, dither=Image.Dither.NONE).save(kept, optimize=True)
                sys.stdout.write(f"kept {kept}\n")
        finally:
            server.stop()
    if not names:
        MADE_WITH.write_text(json.dumps(made_with(), indent=1) + "\n", encoding="utf-8")


def phone_for_pictures(playwright: Playwright, profile: Path, url: str) -> Phone:
    return Phone(playwright, profile, url, whole=True, reduced_motion="reduce")
