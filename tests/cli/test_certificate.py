"""`underboard certificate` as a person uses it, and what `doctor` says about its result."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.certificates.test_keeping import elsewhere
from underboard.certificates import own_names
from underboard.certificates.bounds import Address, address_of
from underboard.certificates.keeping import Keeper
from underboard.cli import main
from underboard.cli.house import certificate_end, certificate_file, phone_address
from underboard.cli.serve import only_here
from underboard.config import Settings, load_settings

HOME = address_of("192.168.7.20")


class Commands:
    """Commands on one data folder, on a machine with one address."""

    def __init__(self, data: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.data = data
        self._capsys = capsys

    def text(self, *words: str) -> str:
        assert main([*words, "--data", str(self.data)]) in (0, 1)
        return self._capsys.readouterr().out

    def facts(self, *words: str) -> dict[str, Any]:
        return dict(json.loads(self.text(*words, "--json")))

    def complaint(self, *words: str) -> str:
        assert main([*words, "--data", str(self.data)]) == 2
        return self._capsys.readouterr().err

    def https(self) -> list[tuple[str, str]]:
        found = self.facts("doctor")["findings"]
        return [(one["level"], one["words"]) for one in found if one["about"] == "https"]

    def rewrite(self, before: timedelta) -> None:
        """Make the certificate so long ago."""
        keeper = Keeper(self.data)
        shown = keeper.shown()
        assert shown is not None
        keeper.make(shown.names, shown.addresses, [], datetime.now(UTC) - before)


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str], machine: Callable[..., None]) -> Commands:
    machine(HOME)
    return Commands(tmp_path / "data", capsys)


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Say which addresses the machine has, and that it is called shed."""

    def has(*addresses: Address) -> None:
        monkeypatch.setattr(own_names, "found_addresses", lambda: addresses)
        monkeypatch.setattr(own_names.socket, "gethostname", lambda: "shed")

    return has


def test_without_a_word_it_takes_what_the_machine_is_called(run: Commands) -> None:
    said = run.facts("certificate")
    assert said["names"] == ["shed.local", "shed", "localhost"]
    assert said["addresses"] == ["192.168.7.20", "127.0.0.1", "::1"]
    assert said["https"] == ["https://shed.local:8443", "https://shed:8443", "https://192.168.7.20:8443"]
    assert (said["own"], said["days_left"]) == (True, 395)
    authority = Keeper(run.data).authority()
    assert authority is not None
    assert [str(one) for one in authority.bounds.networks] == ["192.168.7.0/24", "127.0.0.1/32", "::1/128"]
    assert phone_address(load_settings(run.data, {})) == "https://shed.local:8443"


def test_the_same_again_changes_nothing_and_renews_when_it_is_time(run: Commands) -> None:
    first = run.facts("certificate", "--name", "plot.home.arpa")
    assert first["changed"]
    assert not run.facts("certificate")["changed"]
    assert run.facts("certificate", "--renew")["changed"]
    run.rewrite(timedelta(days=370))
    again = run.facts("certificate")
    assert (again["changed"], again["days_left"]) == (True, 395)
    assert again["authority_sha256"] == first["authority_sha256"]


def test_a_new_name_stands_beside_the_old_one_and_the_words_say_what_phones_lose_otherwise(
    run: Commands,
) -> None:
    run.text("certificate", "--name", "plot.home.arpa")
    words = run.text("certificate", "--name", "new.plot.home.arpa")
    assert "https://plot.home.arpa:8443" in words and "https://new.plot.home.arpa:8443" in words
    assert "let Sync come to 0, then pair it again under the new one" in words
    words = run.text("certificate", "--drop", "plot.home.arpa")
    assert "Left out: plot.home.arpa" in words and "can't sync what is only on them" in words
    assert run.facts("certificate")["names"] == ["localhost", "new.plot.home.arpa"]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--name", "bank.example"), "outside what phones trust"),
        (("--network", "192.168.9.0/24"), "--network needs --new-authority"),
        (("--name", "*.home.arpa"), "no name for a machine"),
        (("--address", "8.8.8.8"), "not a private address"),
        (("--renew", "--days", "500"), "1 to 397 days"),
    ],
)
def test_a_wish_that_cannot_be_granted_is_one_sentence(
    run: Commands, words: tuple[str, ...], sentence: str
) -> None:
    run.text("certificate", "--name", "plot.home.arpa")
    said = run.complaint("certificate", *words)
    assert sentence in said and said.count("\n") == 1


def test_a_wider_range_can_be_asked_for_at_the_beginning(run: Commands) -> None:
    run.text("certificate", "--network", "192.168.0.0/16")
    assert run.facts("certificate", "--address", "192.168.200.1")["addresses"][-1] == "192.168.200.1"


def test_the_doctor_knows_the_certificate(run: Commands, machine: Callable[..., None]) -> None:
    assert run.https() == []  # nothing there at all yet
    run.text("certificate", "--name", "plot.home.arpa")
    good, where = run.https()
    assert (good[0], where[0]) == ("ok", "ok") and "https://plot.home.arpa:8443" in where[1]
    run.rewrite(timedelta(days=380))
    assert run.https()[0][0] == "trouble" and "certificate --renew" in run.https()[0][1]
    run.rewrite(timedelta(days=500))
    assert "phones refuse to sync" in run.https()[0][1]
    run.rewrite(timedelta(0))
    machine(address_of("192.168.7.99"))
    assert run.https()[-1] == (
        "note",
        "this machine is 192.168.7.99 now: the server takes that in by itself.",
    )
    machine(address_of("10.0.0.4"))
    assert run.https()[-1][0] == "note" and "--new-authority" in run.https()[-1][1]


def test_one_brought_from_elsewhere_is_shown_and_only_replaced_on_purpose(
    run: Commands, tmp_path: Path
) -> None:
    from cryptography.hazmat.primitives.asymmetric import ec

    certificate, key = elsewhere(tmp_path, ec.generate_private_key(ec.SECP256R1()))
    said = run.facts("certificate", "--bring", str(certificate), str(key))
    assert (said["own"], said["https"]) == (False, ["https://plot.example.org:8443"])
    assert said["authority_sha256"] is None
    assert "--bring CERT KEY" in run.complaint("certificate")
    assert run.facts("certificate", "--name", "plot.home.arpa")["own"]


def test_the_warning_of_its_end_looks_at_the_same_certificate(run: Commands) -> None:
    settings = load_settings(run.data, {})
    assert certificate_file(settings) is None
    run.text("certificate")
    shown = Keeper(run.data).shown()
    assert shown is not None and certificate_end(certificate_file(settings)) == shown.ends


@pytest.mark.parametrize(
    ("host", "public_url", "alone"),
    [
        ("127.0.0.1", "", True),
        ("::1", "", True),
        ("localhost", "", True),
        ("127.0.0.1", "https://beans.example", False),  # a proxy stands before it
        ("0.0.0.0", "", False),
        ("192.168.7.20", "", False),
        ("shed.local", "", False),
    ],
)
def test_serve_knows_whether_phones_can_reach_it(
    tmp_path: Path, host: str, public_url: str, alone: bool
) -> None:
    assert only_here(Settings(data=tmp_path, host=host, public_url=public_url)) is alone
