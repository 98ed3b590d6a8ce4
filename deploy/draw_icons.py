"""Draw the icons of the home screen from pwa/public/icon.svg, the one source. Writes pwa/public/icon-*.png.

Needs Chromium and the test dependencies; the pictures are committed, so nobody who builds the client needs it.
"""

from __future__ import annotations

import io
import shutil
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

PUBLIC = Path(__file__).parents[1] / "pwa" / "public"
NIGHT = (0x12, 0x0C, 0x07)
SOIL = (0x33, 0x20, 0x0F)
SOIL_FROM = 352 / 512  # where the soil begins in the drawing
MASK_SAFE = 0.78  # W3C Web App Manifest: a mask may take all outside a circle of 80 % of the width


def drawing(size: int) -> Image.Image:
    """Render the source at `size` pixels a side."""
    with sync_playwright() as running:
        browser = running.chromium.launch(
            executable_path=shutil.which("chromium") or "/usr/bin/chromium", args=["--no-sandbox"]
        )
        page = browser.new_page(viewport={"width": size, "height": size})
        page.goto((PUBLIC / "icon.svg").as_uri())
        picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
        browser.close()
    return picture


def maskable(size: int) -> Image.Image:
    """Set the drawing small enough for a round mask, sky and soil running on to the edges."""
    inner = round(size * MASK_SAFE)
    edge = (size - inner) // 2
    picture = Image.new("RGB", (size, size), NIGHT)
    horizon = edge + round(inner * SOIL_FROM)
    picture.paste(SOIL, (0, horizon, size, size))
    picture.paste((0x6B, 0x43, 0x1F), (0, horizon, size, horizon + round(inner * 12 / 512)))
    picture.paste(drawing(inner), (edge, edge))
    return picture


def main() -> None:
    """Write the three pictures that the manifest names."""
    drawing(192).save(PUBLIC / "icon-192.png", optimize=True)
    drawing(512).save(PUBLIC / "icon-512.png", optimize=True)
    maskable(512).save(PUBLIC / "icon-maskable-512.png", optimize=True)


if __name__ == "__main__":
    main()
