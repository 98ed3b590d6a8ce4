"""Plain http next to https: what is answered to whom, and the page by which phones come to trust the household."""

from __future__ import annotations

import plistlib
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from flask import Flask
from flask.testing import FlaskClient

from underboard.certificates.authority import fingerprint
from underboard.certificates.bounds import address_of, network_of
from underboard.certificates.keeping import Keeper
from underboard.config import Settings
from underboard.data_folder import prepare_data_folder
from underboard.store import db, people
from underboard.web.app import create_app

NAME = "plot.home.arpa"
THERE = {"base_url": f"http://{NAME}:8350", "environ_base": {"REMOTE_ADDR": "192.168.7.44"}}
HERE = {"base_url": "http://127.0.0.1:8350", "environ_base": {"REMOTE_ADDR": "127.0.0.1"}}
SECURE = {"base_url": f"https://{NAME}:8443", "environ_base": {"REMOTE_ADDR": "192.168.7.44"}}


def opened(data: Path, database: Path, **settings: bool | str) -> Flask:
    made = Settings(data=data, database_url=f"sqlite:///{database}", log_level="error", **settings)  # type: ignore[arg-type]
    prepare_data_folder(made)
    return create_app(made, https=True)


@pytest.fixture
def keeper(tmp_path: Path) -> Keeper:
    (tmp_path / "data" / "keys").mkdir(parents=True)
    made = Keeper(tmp_path / "data")
    made.make([NAME], [address_of("192.168.7.20")], [network_of("192.168.7.0/24")], datetime.now(UTC))
    return made


@pytest.fixture
def client(tmp_path: Path, migrated_sqlite: Path, keeper: Keeper) -> Iterator[FlaskClient]:
    app = opened(tmp_path / "data", migrated_sqlite)
    yield app.test_client()
    with app.app_context():
        db.engine.dispose()


@pytest.mark.parametrize("path", ["/", "/diary", "/round/0193", "/assets/app.js", "/index.html"])
def test_every_page_from_elsewhere_is_the_one_that_explains(client: FlaskClient, path: str) -> None:
    answer = client.get(path, **THERE)
    assert answer.status_code == 200 and "This address is not safe to write on" in answer.text
    assert f'href="https://{NAME}:8443/"' in answer.text
    assert "This address is not safe" not in client.get("/install-ca", **SECURE).text


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("POST", "/api/v1/pair"), ("GET", "/api/v1/me"), ("POST", "/api/v1/sync/push"),
        ("GET", "/api/v1/sync/pull?plot=x"), ("POST", "/"), ("DELETE", "/api/v1/devices/x"),
        ("POST", "/api/v1/plots/x/readings"), ("GET", "/api/v1/nothing"),
    ],
)  # fmt: skip
def test_nothing_is_read_or_written_that_others_could_hear(
    client: FlaskClient, method: str, path: str
) -> None:
    answer = client.open(path, method=method, **THERE)
    assert (answer.status_code, answer.get_json(force=True)["type"]) == (403, "/problems/not-secure")
    assert f"https://{NAME}:8443" in answer.get_json(force=True)["detail"]
    assert client.open(path, method=method, **HERE).status_code != 403
    assert client.open(path, method=method, **SECURE).status_code != 403


def test_somebody_elsewhere_who_says_to_be_here_is_not_believed(client: FlaskClient) -> None:
    sham = {**THERE, "base_url": "http://127.0.0.1:8350"}
    assert client.get("/api/v1/me", **sham).status_code == 403


def test_who_is_here_and_health_are_told_to_everybody(client: FlaskClient) -> None:
    hello = client.get("/api/v1/hello", **THERE).get_json()
    assert (hello["secure"], hello["https"]) == (False, [f"https://{NAME}:8443", "https://192.168.7.20:8443"])
    assert client.get("/healthz", **THERE).status_code == 200
    assert (
        client.get("/calendar/none.ics", **THERE).status_code == 404
    )  # opened by its secret, not by a phone


def test_what_is_downloaded_is_the_authority_without_its_key(client: FlaskClient, keeper: Keeper) -> None:
    root = keeper.root()
    assert root is not None
    crt = client.get("/install-ca/underboard-ca.crt", **THERE)
    assert x509.load_der_x509_certificate(crt.data) == root
    assert crt.headers["Content-Type"] == "application/x-x509-ca-cert"
    pem = client.get("/install-ca/underboard-ca.pem", **THERE)
    assert x509.load_pem_x509_certificate(pem.data) == root and b"PRIVATE" not in pem.data
    profile = client.get("/install-ca/underboard-ca.mobileconfig", **THERE)
    assert profile.headers["Content-Type"] == "application/x-apple-aspen-config"
    outer = plistlib.loads(profile.data)
    (inner,) = outer["PayloadContent"]
    assert (outer["PayloadType"], inner["PayloadType"]) == ("Configuration", "com.apple.security.root")
    assert inner["PayloadContent"] == root.public_bytes(Encoding.DER)
    assert outer["PayloadUUID"] != inner["PayloadUUID"]
    page = client.get("/install-ca", **THERE).text
    assert fingerprint(root).replace(":", "") == "".join(
        part.split("<")[0].strip(":")
        for part in page.split('class="digits">')[1].split("</p>")[0].split("<span>")
    )


def test_the_page_speaks_german_too_and_needs_nothing_that_the_content_policy_forbids(
    client: FlaskClient,
) -> None:
    for language, word in (("de-AT,de;q=0.9", "Zuerst vergleichen"), ("fr", "First compare")):
        answer = client.get("/install-ca", headers={"Accept-Language": language}, **THERE)
        assert word in answer.text
        assert "style=" not in answer.text and "<script" not in answer.text and "<style" not in answer.text
    for system in ("ios", "android", "windows", "macos", "linux"):
        assert f'<details id="{system}"' in answer.text
    assert answer.text.count('<svg class="screen"') >= 13


def test_with_a_certificate_from_elsewhere_there_is_nothing_to_install(
    client: FlaskClient, keeper: Keeper
) -> None:
    keeper.authority_file.unlink()
    assert "There is nothing to install" in client.get("/install-ca", **THERE).text
    assert client.get("/install-ca/underboard-ca.crt", **THERE).status_code == 404


@pytest.mark.parametrize(
    ("wanted", "proven", "way", "sent"),
    [
        (True, True, SECURE, True),
        (True, False, SECURE, False),
        (False, True, SECURE, False),
        (True, True, HERE, False),
    ],
)
def test_only_https_is_remembered_once_asked_for_and_proven(
    tmp_path: Path,
    migrated_sqlite: Path,
    keeper: Keeper,
    wanted: bool,
    proven: bool,
    way: dict[str, object],
    sent: bool,
) -> None:
    if proven:
        keeper.make([NAME], [], [], datetime.now(UTC) - timedelta(days=380))
        assert keeper.renew_if_due(datetime.now(UTC))
    app = opened(tmp_path / "data", migrated_sqlite, hsts=wanted)
    header = app.test_client().get("/healthz", **way).headers.get("Strict-Transport-Security")  # type: ignore[arg-type]
    assert header == ("max-age=31536000" if sent else None)
    with app.app_context():
        db.engine.dispose()


def test_addresses_shown_are_real_addresses(client: FlaskClient) -> None:
    for address in client.get("/api/v1/hello", **HERE).get_json()["https"]:
        parts = urlsplit(address)
        assert parts.scheme == "https" and parts.port == 8443 and parts.hostname


@pytest.fixture
def fresh(tmp_path: Path, migrated_sqlite: Path) -> Path:
    """A database of its own for a test that writes."""
    return Path(shutil.copyfile(migrated_sqlite, tmp_path / "own.sqlite3"))


def a_code(app: Flask, **asked: Any) -> dict[str, Any]:
    """What an owner's screen is told when it asks for a code to let another phone in."""
    with app.app_context():
        claim = people.new_code(None, "owner", datetime.now(UTC)).code
    client = app.test_client()
    wish = {"code": claim, "device_name": "phone", "want": "token"}
    token = client.post("/api/v1/pair", json=wish, **SECURE).get_json()["token"]
    answer = client.post("/api/v1/codes", json={}, headers={"Authorization": f"Bearer {token}"}, **asked)
    with app.app_context():
        db.engine.dispose()
    assert answer.status_code == 201, answer.text
    told: dict[str, Any] = answer.get_json()
    assert told["url"].endswith(f"/#pair={told['code']}")
    assert 590 <= told["seconds"] <= 600
    return told | {"address": told["url"].partition("/#")[0]}


def test_a_code_comes_with_the_address_that_the_owner_came_by_and_where_trust_begins(
    tmp_path: Path, fresh: Path, keeper: Keeper
) -> None:
    app = opened(tmp_path / "data", fresh, host="0.0.0.0")
    told = a_code(app, **SECURE)
    assert told["address"] == f"https://{NAME}:8443"
    assert told["trust_url"] == f"http://{NAME}:8350/install-ca"
    by_number = a_code(app, **{**SECURE, "base_url": "https://192.168.7.20:8443"})
    assert by_number["trust_url"] == "http://192.168.7.20:8350/install-ca"
    # The page it names is there, over plain http, for whoever does not trust us yet.
    assert app.test_client().get("/install-ca", **THERE).status_code == 200


def test_a_code_made_on_the_computer_itself_names_an_address_that_phones_reach(
    tmp_path: Path, fresh: Path, keeper: Keeper
) -> None:
    data = tmp_path / "data"
    for name in ("http://127.0.0.1:8350", "http://localhost:8350", "http://[::1]:8350"):
        told = a_code(opened(data, fresh, host="0.0.0.0"), **{**HERE, "base_url": name})
        assert told["address"] == f"https://{NAME}:8443"
    # Nobody but this machine hears it: nothing is promised.
    told = a_code(opened(data, fresh, host="127.0.0.1"), **HERE)
    assert (told["address"], told["trust_url"]) == ("http://127.0.0.1:8350", None)
    public = opened(data, fresh, host="127.0.0.1", public_url="https://beans.example/")
    assert a_code(public, **HERE)["address"] == "https://beans.example"


def test_with_a_certificate_from_elsewhere_a_code_sends_nobody_to_install_one(
    tmp_path: Path, fresh: Path, keeper: Keeper
) -> None:
    keeper.authority_file.unlink()
    told = a_code(opened(tmp_path / "data", fresh, host="0.0.0.0"), **SECURE)
    assert (told["address"], told["trust_url"]) == (f"https://{NAME}:8443", None)
