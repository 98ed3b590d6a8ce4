"""Ask an installed Underboard whether it works: run by deploy/release_check with the Python of a fresh environment.

`release_smoke.py DATA`: version, a calculation, the invented plot, the server with its page, its help and who it is.
Needs nothing but the standard library and the installed package; the folder it is run in must not be the repository.
"""

from __future__ import annotations

import json
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from typing import Any

COMMAND = str(Path(sys.executable).parent / "underboard")
DATA = sys.argv[1]
PATIENCE_S = 60


def run(*words: str, told: str = "") -> str:
    done = subprocess.run([COMMAND, *words], input=told, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, f"underboard {' '.join(words)}: {done.stderr}"
    return done.stdout.strip()


def fetch(url: str) -> str:
    with urllib.request.urlopen(url, timeout=30) as answer:
        text: str = answer.read().decode()
    return text


def hello(url: str) -> dict[str, Any]:
    """Who answers, once somebody does."""
    end = time.monotonic() + PATIENCE_S
    while True:
        try:
            told: dict[str, Any] = json.loads(fetch(f"{url}/api/v1/hello"))
            return told
        except OSError:
            assert time.monotonic() < end, "the server does not answer"
            time.sleep(0.1)


def main() -> None:
    import underboard

    home = Path(underboard.__file__).parent
    assert "site-packages" in home.parts, f"not the installed package: {home}"
    version = run("--version").split()[-1]
    assert version == underboard.__version__, version
    found = json.loads(run("calc", "poisson-interval", told='{"count": 0}'))
    assert abs(found["high"] - 3.6889) < 1e-4, found  # Garwood 1936, nothing counted, two-sided 95 %
    plot = json.loads(run("demo", "--data", DATA, "--json"))["plot_id"]
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    began = time.monotonic()
    words = [COMMAND, "serve", "--data", DATA, "--port", str(port), "--no-jobs"]
    server = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        url = f"http://127.0.0.1:{port}"
        told = hello(url)
        took = time.monotonic() - began
        assert told["app"] == "underboard" and told["version"] == version, told
        assert "<script" in fetch(f"{url}/") and "Underboard, explained" in fetch(f"{url}/help/")
        assert json.loads(fetch(f"{url}/api/v1/openapi.json"))["info"]["version"] == version
        code = json.loads(run("pair", "--data", DATA, "--plot", plot, "--show-code"))["code"]
    finally:
        server.terminate()
        server.wait(30)
    print(f"underboard {version}: installed, {plot} made, answered after {took:.1f} s, code {code[:2]}… made")


if __name__ == "__main__":
    main()
