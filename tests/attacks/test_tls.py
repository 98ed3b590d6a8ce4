"""Which versions and ciphers the server's https speaks, asked by OpenSSL."""

from __future__ import annotations

import socket
import ssl
import warnings
from collections.abc import Iterator

import pytest

from tests.browser.server import ServerProcess, free_port
from tests.browser.trust import wait_for_https


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    server = ServerProcess(tmp_path_factory.mktemp("tls")).without_jobs()
    https = free_port()
    (server.data / "settings.toml").write_text(f"https_port = {https}\n")
    server.here("certificate", "--name", "plot.home.arpa")
    server.start()
    wait_for_https(https)
    yield https
    server.stop()


def spoken(
    port: int, version: ssl.TLSVersion, ciphers: str = "ALL:@SECLEVEL=0"
) -> tuple[str | None, str] | None:
    """Version and cipher that come of one offer; None when the server refuses it."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE  # who it is, is asked elsewhere
    context.set_ciphers(ciphers)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # offering what is old is the point
        context.minimum_version = context.maximum_version = version
    try:
        with (
            socket.create_connection(("127.0.0.1", port), timeout=60) as wire,
            context.wrap_socket(wire) as tls,
        ):
            cipher = tls.cipher()
            return tls.version(), cipher[0] if cipher else ""
    except (ssl.SSLError, ConnectionError):
        return None


def test_only_the_kept_versions_and_ciphers_are_spoken(port: int) -> None:
    new = spoken(port, ssl.TLSVersion.TLSv1_3)
    assert new is not None and new[0] == "TLSv1.3"
    old = spoken(port, ssl.TLSVersion.TLSv1_2)
    assert old is not None and old[0] == "TLSv1.2" and old[1].startswith("ECDHE-")
    assert any(mode in old[1] for mode in ("GCM", "CHACHA20"))
    assert spoken(port, ssl.TLSVersion.TLSv1_1) is None
    assert spoken(port, ssl.TLSVersion.TLSv1) is None
    for weak in (
        "AES128-SHA:@SECLEVEL=0",
        "ECDHE-ECDSA-AES128-SHA:@SECLEVEL=0",
        "AES128-GCM-SHA256",
        "NULL:@SECLEVEL=0",
    ):
        assert spoken(port, ssl.TLSVersion.TLSv1_2, weak) is None, weak


def test_plain_http_to_the_https_door_gets_no_page(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=60) as wire:
        wire.sendall(b"GET / HTTP/1.1\r\nHost: plot.home.arpa\r\n\r\n")
        assert not wire.recv(4096).startswith(b"HTTP/1.1 200")
