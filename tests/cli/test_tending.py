"""The server notices a new certificate, by whomever it was written, and shows none that would not work."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

import pytest
from structlog.testing import capture_logs

from underboard.certificates.keeping import Keeper
from underboard.cli import tending
from underboard.cli.tending import Tending, state_of
from underboard.config import load_settings
from underboard.data_folder import prepare_data_folder

NOW = datetime.now(UTC).replace(microsecond=0)
HOME, NEXT = ip_address("192.168.7.20"), ip_address("192.168.7.31")


class Server:
    """A keeper with a certificate, and how often the server was told to show it anew."""

    def __init__(self, data: Path, made: datetime = NOW) -> None:
        prepare_data_folder(load_settings(data, {}))
        self.keeper = Keeper(data)
        self.make(made)
        self.shown_anew = 0
        file = self.keeper.server_file
        self.now = NOW
        self.tending = Tending(self.keeper, (file, file), self._show, lambda: self.now)

    def make(self, when: datetime = NOW) -> None:
        self.keeper.make(["plot.home.arpa"], [HOME], [ip_network("192.168.7.0/24")], when)

    def _show(self) -> None:
        self.shown_anew += 1

    def tend(self) -> int:
        self.tending.tend()
        return self.shown_anew


@pytest.fixture(autouse=True)
def machine(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tending, "found_addresses", lambda: (HOME,))


def test_nothing_new_disturbs_nobody(tmp_path: Path) -> None:
    server = Server(tmp_path)
    assert [server.tend() for _ in range(3)] == [0, 0, 0]


def test_it_renews_in_time_and_shows_that_once(tmp_path: Path) -> None:
    server = Server(tmp_path)
    server.now = NOW + timedelta(days=365)
    assert server.tend() == 0  # 31 days are left
    server.now += timedelta(days=2)
    assert [server.tend() for _ in range(3)] == [1, 1, 1]
    shown = server.keeper.shown()
    assert shown is not None and shown.ends > server.now + timedelta(days=390)
    assert server.keeper.is_proven()


def test_what_the_command_wrote_is_shown(tmp_path: Path) -> None:
    server = Server(tmp_path)
    server.make()
    assert [server.tend() for _ in range(2)] == [1, 1]


def test_what_was_written_while_the_server_began_is_shown_too(tmp_path: Path) -> None:
    server = Server(tmp_path)
    file = server.keeper.server_file
    read = state_of((file, file))
    server.make()
    shown: list[bool] = []
    tended = Tending(server.keeper, (file, file), lambda: shown.append(True), lambda: NOW, read)
    tended.tend()
    tended.tend()
    assert shown == [True]


def test_another_address_from_the_router_is_shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    server = Server(tmp_path)
    monkeypatch.setattr(tending, "found_addresses", lambda: (NEXT,))
    assert [server.tend() for _ in range(2)] == [1, 1]
    shown = server.keeper.shown()
    assert shown is not None and NEXT in shown.addresses


def test_files_named_on_the_command_line_are_watched_and_broken_ones_not_shown(
    tmp_path: Path,
) -> None:
    source = Server(tmp_path / "source")
    file = tmp_path / "named.pem"
    file.write_bytes(source.keeper.server_file.read_bytes())
    shown: list[bool] = []
    tended = Tending(None, (file, file), lambda: shown.append(True), lambda: NOW)
    tended.tend()
    file.write_text("half of a file")
    os.utime(file, (1, 1))
    with capture_logs() as said:
        tended.tend()
    assert shown == [] and [line["event"] for line in said] == ["new certificate not taken"]
    source.make()
    file.write_bytes(source.keeper.server_file.read_bytes())
    tended.tend()
    assert shown == [True]
