"""Paths that try to leave their folder, heads with line ends in them, and what a look at the data folder finds."""

from __future__ import annotations

import hashlib
import io
import random
import socket
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from tests.attacks.household import Household, household
from tests.browser.server import ServerProcess

CLIMBING = [
    "/../settings.toml", "/..%2fsettings.toml", "/%2e%2e/%2e%2e/settings.toml", "/assets/../../settings.toml",
    "/assets/..%5c..%5csettings.toml", "//etc/passwd", "/%2fetc%2fpasswd", "/....//....//etc/passwd",
    "/assets/%00/../../server_id", "/.%00./server_id", "/%c0%ae%c0%ae/server_id", "/file:///etc/passwd",
    "/api/v1/plots/../../../server_id/blobs/x", "/install-ca/../keys/claim_code", "/calendar/../keys/claim_code.ics",
    "/stop/..%2f..%2fkeys%2fclaim_code", "/keys/claim_code", "/underboard.sqlite3", "/.git/config",
    "/server/underboard/config.py", "/blobs/", "/.built-from",
]  # fmt: skip


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServerProcess]:
    process = ServerProcess(tmp_path_factory.mktemp("odd")).without_jobs()
    process.here("certificate", "--name", "plot.home.arpa")
    (process.data / "settings.toml").write_text("https = false\n# marked-settings\n")
    yield process.start()
    process.stop()


def raw(server: ServerProcess, *lines: str) -> bytes:
    """One request as it is typed, which no client library would send so."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=60) as wire:
        wire.sendall(
            "".join(f"{line}\r\n" for line in (*lines, "Connection: close", "", "")).encode("latin-1")
        )
        found = b""
        while piece := wire.recv(65536):
            found += piece
    return found


@pytest.mark.parametrize("path", CLIMBING)
def test_no_path_leads_out_of_the_client_folder(server: ServerProcess, path: str) -> None:
    answer = raw(server, f"GET {path} HTTP/1.1", "Host: 127.0.0.1", "Accept: text/html, */*")
    secrets = [b"root:", b"marked-settings", b"PRIVATE KEY", b"SQLite format"]
    secrets += [
        file.read_bytes().strip() for file in (server.data / "server_id", server.data / "keys" / "claim_code")
    ]
    assert [secret for secret in secrets if secret in answer] == []
    status = int(answer.split(b" ", 2)[1])
    # the shell answers page addresses; it is the built client's own file and nothing else
    assert status in (400, 404, 308) or (status == 200 and b'id="app"' in answer), answer[:200]


@pytest.mark.parametrize(
    "line",
    [
        "X-Request-Id: good-request\rSet-Cookie: __Host-dev=x",
        "X-Request-Id: evil%0d%0aSet-Cookie:%20a=b",
        "Origin: http://127.0.0.1\tSet-Cookie: a=b",
        "X-Request-Id: <script>hit()</script>",
    ],
)
def test_nothing_of_a_head_becomes_a_line_of_ours(server: ServerProcess, line: str) -> None:
    answer = raw(server, "GET /api/v1/hello HTTP/1.1", "Host: 127.0.0.1", line)
    head = answer.split(b"\r\n\r\n")[0].lower()
    assert b"set-cookie" not in head and b"<script" not in head


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80\\@127.0.0.1", "127.0.0.1.evil.example", "a" * 300, "[::1"]
)
def test_a_sham_host_gets_no_page_that_lets_a_phone_write(server: ServerProcess, host: str) -> None:
    answer = raw(server, "GET /api/v1/hello HTTP/1.1", f"Host: {host}")
    assert b'"secure":true' not in answer.replace(b" ", b"")
    assert not answer.startswith(b"HTTP/1.1 5")


@pytest.mark.parametrize(
    "lines",
    [
        ("Content-Length: 5", "Transfer-Encoding: chunked"),
        ("Content-Length: 5", "Content-Length: 6"),
        ("Content-Length: -1",),
        ("Transfer-Encoding: chunked, identity",),
    ],
)
def test_a_body_of_two_lengths_is_not_read_as_two_requests(
    server: ServerProcess, lines: tuple[str, ...]
) -> None:
    """Request smuggling (RFC 9112, 11.2): never two answers."""
    answer = raw(server, "POST /api/v1/pair HTTP/1.1", "Host: 127.0.0.1", *lines)
    assert answer.count(b"HTTP/1.1 ") <= 1
    assert not answer.startswith(b"HTTP/1.1 2")


def test_what_only_a_proxy_may_say_is_believed_of_nobody_else(server: ServerProcess) -> None:
    forged = ("X-Forwarded-Proto: https", "X-Forwarded-For: 127.0.0.1", "X-Forwarded-Host: 127.0.0.1")
    answer = raw(server, "GET /api/v1/hello HTTP/1.1", "Host: plot.example", *forged)
    assert b'"secure":false' in answer


@pytest.mark.parametrize("method", ["TRACE", "TRACK", "CONNECT", "PATCH", "LINK"])
def test_methods_that_nothing_needs_are_refused(server: ServerProcess, method: str) -> None:
    answer = raw(server, f"{method} /api/v1/hello HTTP/1.1", "Host: 127.0.0.1", "X-Own: echoed")
    assert int(answer.split(b" ", 2)[1]) in (400, 404, 405, 501) and b"echoed" not in answer


def test_secrets_in_the_data_folder_are_for_its_owner_alone(server: ServerProcess) -> None:
    keys = server.data / "keys"
    assert stat.S_IMODE(keys.stat().st_mode) == 0o700
    names = {file.name for file in keys.iterdir()}
    assert {"claim_code", "authority.pem", "server_certificate.pem"} <= names
    assert {stat.S_IMODE(file.stat().st_mode) for file in keys.iterdir()} == {0o600}


def test_the_server_says_neither_what_it_runs_on_nor_who_may_frame_it(server: ServerProcess) -> None:
    head = raw(server, "GET / HTTP/1.1", "Host: 127.0.0.1").split(b"\r\n\r\n")[0].lower()
    for word in (b"python", b"werkzeug", b"flask", b"x-powered-by"):
        assert word not in head
    assert b"frame-ancestors 'none'" in head


def test_a_guesser_is_slowed_down_at_every_secret(tmp_path: Path, migrated_sqlite: Path) -> None:
    """With the limits on, as they are at home: 20 wrong tries an hour, then wait (OWASP ASVS 5.0, 6.3.1)."""
    with household(tmp_path, migrated_sqlite, rate_limits=True) as house:
        for ask in (
            lambda n: house.ask("nobody", "GET", f"/calendar/{'A' * 40}{n:03}.ics"),
            lambda n: house.ask("nobody", "POST", "/api/v1/pair", json=guess(n)),
        ):
            answers = [ask(number) for number in range(25)]
            assert {answer.status_code for answer in answers[:20]} <= {403, 404, 429}
            assert [answer.status_code for answer in answers[20:]] == [429] * 5
            assert int(answers[-1].headers["Retry-After"]) > 60
        assert (
            house.ask("owner", "GET", "/api/v1/me").status_code == 200
        )  # nobody who belongs here is kept out


def test_one_device_cannot_fill_the_disk_with_photos(tmp_path: Path, migrated_sqlite: Path) -> None:
    with household(tmp_path, migrated_sqlite, blob_quota_mb=1) as house:
        statuses = []
        for seed in range(4):
            data = noise(seed)
            path = f"/api/v1/plots/{house.plot_id}/blobs/{hashlib.sha256(data).hexdigest()}"
            statuses.append(house.ask("owner", "PUT", path, data=data, content_type="image/jpeg").status_code)
        assert statuses == [
            201,
            201,
            413,
            413,
        ]  # 0.6 MB each: the second goes over the mark, the third is refused
        assert house.ask("helper", "PUT", path, data=data, content_type="image/jpeg").status_code == 201


def noise(seed: int) -> bytes:
    """A photo that does not get smaller by packing."""
    out = io.BytesIO()
    Image.frombytes("RGB", (700, 560), random.Random(seed).randbytes(700 * 560 * 3)).save(
        out, "JPEG", quality=98
    )
    assert 500_000 < len(out.getvalue()) < 1_000_000
    return out.getvalue()


def guess(number: int) -> dict[str, str]:
    return {"code": f"AAAA-{number:04}", "device_name": "phone", "want": "token"}


def test_a_device_cannot_fill_the_log_with_lines_of_its_own(
    house: Household, capsys: pytest.CaptureFixture[str]
) -> None:
    from underboard.web.request_log import set_up_log

    set_up_log("info")
    try:
        house.ask(
            "owner",
            "GET",
            "/api/v1/me",
            headers={"User-Agent": 'x"}\n{"event": "forged"}'.replace("\n", " ")},
        )
        house.ask("nobody", "GET", '/a%0a{"event":"forged"}')
    finally:
        set_up_log("error")
    lines = capsys.readouterr().err.splitlines()
    assert lines and all(line.startswith("{") and line.endswith("}") for line in lines)
    assert not any("forged" in line for line in lines)
