"""The hook for an ACME client, run as deploy/certificates.md has it, beside a server that phones write to meanwhile.

The client itself needs a domain and the internet. What it leaves behind is made here in the form that it has: a folder
with links to the files of the last time (certbot), or two paths in the environment (lego).
"""

from __future__ import annotations

import http.client
import json
import os
import re
import socket
import ssl
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec

from tests.browser.server import ServerProcess, free_port
from tests.browser.trust import serial_at, wait_for_https
from tests.certificates.test_keeping import elsewhere
from tests.cli.test_serving import pushed
from underboard.certificates.keeping import Keeper

PAGE = Path(__file__).parents[2] / "deploy" / "certificates.md"
NAME = "plot.example.org"
PHONES = 3
# A worker that ends cuts off who is still exchanging greetings with it; what it has begun to answer it ends.
CUT = (ssl.SSLEOFError, ConnectionResetError, BrokenPipeError, http.client.RemoteDisconnected)


def hook() -> str:
    """The command as it stands in the documentation; only the data folder is to be filled in."""
    (found,) = re.findall(
        r"--deploy-hook \\\n +'(underboard certificate --data DIR [^']+)'", PAGE.read_text()
    )
    return str(found)


def run_hook(command: str, data: Path, **told: str) -> None:
    """As the client does: by the shell, with what it tells in the environment."""
    path = f"{Path(sys.executable).parent}:{os.environ['PATH']}"
    line = command.replace("DIR", str(data), 1)
    environment = {**os.environ, "PATH": path, **told}
    done = subprocess.run(["sh", "-c", line], env=environment, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr


class Issuer:
    """Leaves certificates as certbot does: live/NAME/*.pem are links to archive/NAME/*1.pem, *2.pem …"""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.made: list[Path] = []

    def issue(self, lineage: str) -> Path:
        kept, live = self.folder / "archive" / lineage, self.folder / "live" / lineage
        kept.mkdir(parents=True, exist_ok=True)
        live.mkdir(parents=True, exist_ok=True)
        number = len(self.made) + 1
        for file in elsewhere(kept, ec.generate_private_key(ec.SECP256R1())):
            target = file.rename(kept / f"{file.stem}{number}.pem")
            link = live / file.name
            link.unlink(missing_ok=True)
            link.symlink_to(os.path.relpath(target, live))
        self.made.append(kept / f"fullchain{number}.pem")
        return live

    def serial(self) -> int:
        """Of what was issued last."""
        return x509.load_pem_x509_certificate(self.made[-1].read_bytes()).serial_number


class Phones:
    """Push one note after the other, each on a connection of its own, and trust these two certificates.

    What is cut off is sent once more as it was, as phones do. A server that refuses to be spoken to loses a request.
    """

    def __init__(self, server: ServerProcess, port: int, trusted: list[Path]) -> None:
        self._port = port
        self._trusts = [ssl.create_default_context(cafile=str(file)) for file in trusted]
        body = {"code": server.code_for(None), "device_name": "phone", "want": "token"}
        self.paired = server.call("POST", "/api/v1/pair", json.dumps(body).encode())
        self.bearer = {"Authorization": f"Bearer {self.paired['token']}"}
        first = f"/api/v1/sync/pull?plot={self.paired['plot_id']}&limit=1"
        self._epoch = server.call("GET", first, headers=self.bearer)["epoch"]
        self._stop = threading.Event()
        self.taken: list[str] = []
        self.again: list[str] = []
        self.lost: list[str] = []
        self._threads = [threading.Thread(target=self._write, args=(n,)) for n in range(PHONES)]

    def __enter__(self) -> Phones:
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        for thread in self._threads:
            thread.join()

    def _write(self, phone: int) -> None:
        number = 0
        while not self._stop.is_set():
            number += 1
            text = f"note {number} of phone {phone}"
            body = pushed(self.paired, self._epoch, text)
            try:
                try:
                    status = self._push(body)
                except CUT:
                    self.again.append(text)
                    status = self._push(body)
                assert status == 200
                self.taken.append(text)
            except (OSError, AssertionError, http.client.HTTPException) as fault:
                self.lost.append(f"{text}: {fault!r}")
            time.sleep(0.02)

    def _push(self, body: bytes) -> int:
        connection = http.client.HTTPConnection(NAME, self._port, timeout=60)
        connection.sock = self._connected()
        try:
            headers = {"Content-Type": "application/json", **self.bearer}
            connection.request("POST", "/api/v1/sync/push", body, headers)
            answer = connection.getresponse()
            answer.read()
            return answer.status
        finally:
            connection.close()

    def _connected(self) -> ssl.SSLSocket:
        refusals = []
        # While workers of before and after answer side by side, each try may meet the other one than it trusts.
        for trust in self._trusts * 8:
            wire = socket.create_connection(("127.0.0.1", self._port), timeout=60)
            try:
                return trust.wrap_socket(wire, server_hostname=NAME)
            except ssl.SSLCertVerificationError as refusal:
                wire.close()
                refusals.append(refusal)
        raise AssertionError(refusals)


@pytest.fixture
def running(tmp_path: Path) -> Iterator[tuple[ServerProcess, int, Issuer]]:
    """A server that shows what the client brought when it was run for the first time."""
    data = tmp_path / "data"
    data.mkdir()
    port = free_port()
    (data / "settings.toml").write_text(f"https_port = {port}\n")
    issuer = Issuer(tmp_path / "letsencrypt")
    run_hook(hook(), data, RENEWED_LINEAGE=str(issuer.issue(NAME)), RENEWED_DOMAINS=NAME)
    server = ServerProcess(data).without_jobs().start()
    wait_for_https(port)
    yield server, port, issuer
    server.stop()


def wait_for(port: int, serial: int) -> None:
    end = time.monotonic() + 150
    while serial_at(port) != serial:
        assert time.monotonic() < end, "the certificate is the old one still"
        time.sleep(0.1)


def test_the_documented_hook_changes_the_certificate_of_a_running_server_and_no_request_is_lost(
    running: tuple[ServerProcess, int, Issuer],
) -> None:
    server, port, issuer = running
    wait_for(port, issuer.serial())
    before, processes = issuer.made[-1], server.pids()
    # Not the folder of the first time: that one the server reads again by itself.
    lineage = issuer.issue(f"{NAME}-0001")
    with Phones(server, port, [before, issuer.made[-1]]) as phones:
        run_hook(hook(), server.data, RENEWED_LINEAGE=str(lineage), RENEWED_DOMAINS=NAME)
        shown = Keeper(server.data).shown()
        assert shown is not None and (shown.serial, shown.own) == (issuer.serial(), False)
        wait_for(port, issuer.serial())
        end = time.monotonic() + 60
        while set(server.pids()) & set(processes) != {processes[0]}:  # the workers of before have ended
            assert time.monotonic() < end, "a worker of before is left"
            time.sleep(0.1)
        so_far = len(phones.taken)
        while len(phones.taken) < so_far + PHONES:
            assert time.monotonic() < end
            time.sleep(0.05)
    assert phones.lost == []
    assert (
        len(phones.again) <= 2 * PHONES
    )  # those of one moment, and not of the seconds that a worker takes to begin
    assert serial_at(port) == issuer.serial()
    records = server.records(phones.paired["plot_id"], phones.bearer)
    assert sorted(one["body"]["text"] for one in records if one["type"] == "note") == sorted(phones.taken)


def test_the_same_command_serves_the_other_documented_client(tmp_path: Path) -> None:
    page = PAGE.read_text()
    assert "the same command as hook with `$LEGO_CERT_PATH` and `$LEGO_CERT_KEY_PATH`" in page.replace(
        "\n", " "
    )
    command = hook().replace("$RENEWED_LINEAGE/fullchain.pem", "$LEGO_CERT_PATH")
    command = command.replace("$RENEWED_LINEAGE/privkey.pem", "$LEGO_CERT_KEY_PATH")
    assert "RENEWED" not in command
    certificate, key = elsewhere(tmp_path, ec.generate_private_key(ec.SECP256R1()))
    told: dict[str, Any] = {"LEGO_CERT_PATH": str(certificate), "LEGO_CERT_KEY_PATH": str(key)}
    run_hook(command, tmp_path / "data", **told)
    shown = Keeper(tmp_path / "data").shown()
    assert shown is not None and (shown.names, shown.own) == ((NAME,), False)
