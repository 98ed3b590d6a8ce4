"""Run Lighthouse in the profile of a phone that has joined the demo plot; see tests/browser/lighthouse."""

from __future__ import annotations

import json
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from playwright.sync_api import sync_playwright

from tests.browser.phone import CHROMIUM, QUIET, Phone, until
from tests.browser.server import ServerProcess, free_port
from tests.browser.warned import joined

PATHS = ("/", "/plot", "/diary", "/findings", "/sync")
CATEGORIES = ("accessibility", "best-practices", "performance")
REACH = 0.95
# A phone that was started before: what it notes then for the next start (text/kept_writing.ts) is there.
NOTED = "localStorage.getItem('underboard.writing') !== null"


def audited(tool: str, url: str, port: int) -> dict[str, Any]:
    """One run on what the profile holds: with storage reset the phone would not be paired any more."""
    command = [
        tool,
        url,
        f"--port={port}",
        "--disable-storage-reset",
        "--output=json",
        "--quiet",
        f"--only-categories={','.join(CATEGORIES)}",
    ]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300)
    if done.returncode != 0:
        sys.exit(done.stderr)
    report: dict[str, Any] = json.loads(done.stdout)
    return report


def browser(profile: Path, port: int) -> subprocess.Popen[bytes]:
    """Chromium on the phone's profile, to be spoken to by Lighthouse."""
    words = [
        CHROMIUM,
        *QUIET,
        "--headless=new",
        "--accept-lang=en-GB",  # as on the phone that joined
        f"--user-data-dir={profile}",
        f"--remote-debugging-port={port}",
    ]
    started = subprocess.Popen([*words, "about:blank"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    for _ in range(100):
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/json/version", timeout=1):
                return started
        except OSError:  # not there yet, or so busy that it takes its time
            time.sleep(0.2)
    started.kill()
    sys.exit("Chromium did not start.")


def told(path: str, report: dict[str, Any]) -> bool:
    """Print the scores of one screen and what kept them down; True when all reach the mark."""
    scores = {name: report["categories"][name]["score"] or 0.0 for name in CATEGORIES}
    print(path, *(f"{name} {score:.2f}" for name, score in scores.items()))
    for name, score in scores.items():
        if score >= REACH:
            continue
        for ref in report["categories"][name]["auditRefs"]:
            audit = report["audits"][ref["id"]]
            if ref["weight"] and audit["score"] is not None and audit["score"] < 0.9:
                print(f"   {name}: {audit['title']} ({audit.get('displayValue', audit['score'])})")
    # Performance is promised for Now; the others draw pictures of two seasons.
    return all(score >= REACH for name, score in scores.items() if name != "performance" or path == "/")


def main() -> None:
    tool, paths = sys.argv[1], sys.argv[2:] or PATHS
    with TemporaryDirectory() as data, TemporaryDirectory() as profile:
        server = ServerProcess(Path(data)).without_jobs().start()
        try:
            plot = server.run("demo")["plot_id"]
            with sync_playwright() as playwright:
                phone = joined(
                    lambda url, _: Phone(playwright, Path(profile), url, whole=True), server, plot, "Maren"
                )
                until(phone.page, NOTED)
                phone.close()
            port = free_port()
            chromium = browser(Path(profile), port)
            try:
                held = [told(path, audited(tool, server.url + path, port)) for path in paths]
            finally:
                chromium.terminate()
                chromium.wait(timeout=20)
        finally:
            server.stop()
    sys.exit(0 if all(held) else 1)


if __name__ == "__main__":
    main()
