"""What the database says to whoever copies it: of no secret that opens something more than its hash.

Looking one up by its SHA-256 is timing-safe by construction: how far two hashes agree says nothing about the secret.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import MetaData, event, select

from tests.store.cheap_lock import cheap_key
from tests.web.conftest import OWN_PAGE, Caller, Join, Office, note
from underboard.config import Settings
from underboard.notify.stop_links import StopLinks
from underboard.store import db
from underboard.store.backup.making import make_backup
from underboard.web.services import EXTENSION, utc_now

PASSPHRASE = "seven wet slugs under one board"

ON_SQLITE = pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)


@dataclass
class Secrets:
    """Everything that opens a door of this server, in use."""

    by_name: dict[str, str]
    owner: Caller

    def found_in(self, text: str) -> list[str]:
        """Names of those that stand in a text, however they are written."""
        folded = text.casefold()
        return [
            name for name, secret in self.by_name.items() if any(form in folded for form in _forms(secret))
        ]


def _forms(secret: str) -> set[str]:
    return {secret.casefold(), secret.casefold().replace("-", ""), secret.encode().hex()}


@pytest.fixture
def settings(app: Flask) -> Settings:
    return app.extensions[EXTENSION].settings  # type: ignore[no-any-return]


@pytest.fixture
def secrets(app: Flask, join: Join, office: Office, settings: Settings) -> Secrets:
    """A household in which every door was made, and used where using it leaves a trace."""
    owner = join()
    browser = join(owner.plot_id, "helper", want="cookie")
    cookie = browser.client.get_cookie("__Host-dev")
    assert cookie is not None
    used = office.new_code(owner.plot_id, "reader", utc_now(), typed=True).code
    wish = {"code": used, "device_name": "tablet", "want": "token"}
    assert app.test_client().post("/api/v1/pair", json=wish, headers=OWN_PAGE).status_code == 200
    owner.push(note())
    url = owner.post("/api/v1/channels/calendar", {}).get_json()["url"]
    assert app.test_client().get(url).status_code == 200
    target = owner.post("/api/v1/channels/email", {"address": "may@example.org"}).get_json()["id"]
    assert owner.post(f"/api/v1/channels/email/{target}/trial", None).status_code == 200
    made = {
        "token": owner.headers["Authorization"].removeprefix("Bearer "),
        "cookie": cookie.value,
        "typed code": office.new_code(owner.plot_id, "reader", utc_now(), typed=True).code,
        "long code": office.new_code(owner.plot_id, "reader", utc_now()).code,
        "code of a new plot": office.new_code(None, "owner", utc_now()).code,
        "used code": used,
        "calendar": url.rsplit("/", 1)[1].removesuffix(".ics"),
        "stop link": StopLinks(settings.stop_key_file).token(_handle(app)),
        "key of stop links": settings.stop_key_file.read_text().strip(),
    }
    return Secrets(made, owner)


def _handle(app: Flask) -> str:
    with app.app_context(), db.engine.connect() as connection:
        return str(connection.exec_driver_sql("SELECT stop_handle FROM mail_target").scalar_one())


def everything(app: Flask) -> dict[str, list[Any]]:
    """All rows of all tables that are really there."""
    with app.app_context(), db.engine.connect() as connection:
        there = MetaData()
        there.reflect(bind=connection)
        return {name: list(connection.execute(select(table))) for name, table in there.tables.items()}


def test_no_column_holds_a_secret(app: Flask, secrets: Secrets, database_url: str) -> None:
    rows = everything(app)
    for name in ("device", "pairing_code", "calendar_feed", "mail_target", "record", "audit"):
        assert rows[name], f"{name} has no row to look at"
    for name, secret in secrets.by_name.items():
        assert name in secrets.found_in(f"('x', '{secret.upper()}', None)"), "the search would find it"
    hashed = [hashlib.sha256(secrets.by_name[name].encode()).hexdigest() for name in ("token", "calendar")]
    assert all(one in repr(rows) for one in hashed), "what is kept instead"
    found = {
        f"{table}: {secret}"
        for table, lines in rows.items()
        for line in lines
        for secret in secrets.found_in(repr(tuple(line)))
    }
    assert found == set()
    if database_url.startswith("sqlite"):  # nor what the file holds besides: freed pages, the write-ahead log
        file = Path(database_url.removeprefix("sqlite:///"))
        raw = b"".join(path.read_bytes() for path in file.parent.glob(f"{file.name}*"))
        assert b"may@example.org" in raw and secrets.found_in(raw.decode("latin-1")) == []


@ON_SQLITE
def test_the_passphrase_of_backups_stays_in_its_file(
    app: Flask, join: Join, settings: Settings, tmp_path: Path
) -> None:
    owner = join()
    settings.backup_passphrase_file.write_text(PASSPHRASE + "\n")
    with app.app_context():
        key = cheap_key(PASSPHRASE)
        made = make_backup(settings, tmp_path / "b.tar", utc_now(), key=key)
    secrets = Secrets({"passphrase": PASSPHRASE, "key of backups": key.identity}, owner)
    assert secrets.found_in(repr(everything(app))) == []
    assert secrets.found_in(made.file.read_bytes().decode("latin-1")) == []


@contextmanager
def asked_of_the_database(app: Flask) -> Iterator[list[str]]:
    """What goes to the database meanwhile: statements and values."""
    said: list[str] = []

    def hear(_connection: Any, _cursor: Any, statement: str, values: Any, *_: Any) -> None:
        said.append(f"{statement} {values!r}")

    with app.app_context():
        event.listen(db.engine, "before_cursor_execute", hear)
        try:
            yield said
        finally:
            event.remove(db.engine, "before_cursor_execute", hear)


def test_the_database_is_asked_for_hashes_and_never_compares_a_secret(app: Flask, secrets: Secrets) -> None:
    anyone, known = app.test_client(), secrets.by_name
    with asked_of_the_database(app) as said:
        assert anyone.get(f"/calendar/{known['calendar']}.ics").status_code == 200
        assert anyone.get(f"/stop/{known['stop link']}").status_code == 200
        assert anyone.post(f"/stop/{known['stop link']}").status_code == 200
        for code in ("typed code", "long code", "used code"):
            wish = {"code": known[code], "device_name": "x", "want": "token"}
            answer = anyone.post("/api/v1/pair", json=wish)
            assert answer.status_code == (403 if code == "used code" else 200)
        assert secrets.owner.get("/api/v1/channels").status_code == 200
    text = "\n".join(said)
    assert secrets.found_in(text) == []
    assert hashlib.sha256(known["calendar"].encode()).hexdigest() in text and "pairing_code" in text
    assert known["stop link"].rpartition(".")[0] in text, (
        "the handle alone; its proof is compared in constant time"
    )
