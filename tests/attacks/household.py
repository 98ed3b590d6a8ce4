"""One app with two plots: one with a device of each role and something of every kind in it, and a stranger's."""

from __future__ import annotations

import hashlib
import io
import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from flask import Flask
from PIL import Image
from sqlalchemy import select
from werkzeug.test import TestResponse

from underboard.config import Settings
from underboard.notify.stop_links import StopLinks
from underboard.store import db, feeds, people, targets
from underboard.store.tables import MailTargetRow
from underboard.web.app import create_app
from underboard.web.services import EXTENSION, utc_now

ROLES = ("owner", "helper", "reader")
SHELL = "<!doctype html><title>shell</title>"


def picture(shade: int = 90) -> bytes:
    """A small photo with nothing in it but a colour."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (shade, 60, 30)).save(out, "JPEG")
    return out.getvalue()


@dataclass
class Household:
    """What a test asks through; every id is made anew where a request may use it up."""

    app: Flask
    plot_id: str
    headers: dict[str, dict[str, str]]
    devices: dict[str, str]
    note_id: str = ""
    sha256: str = ""
    feed: str = ""
    made: list[str] = field(default_factory=list)

    def ask(self, who: str, method: str, path: str, **body: Any) -> TestResponse:
        """`who`: a role of the plot, `stranger` (owner of another one) or `nobody`."""
        headers = {**self.headers.get(who, {}), **body.pop("headers", {})}
        return self.app.test_client().open(path, method=method, headers=headers, **body)

    def value(self, name: str) -> str:
        """An id of this plot for a part of an address."""
        if name == "device_id":
            with self.app.app_context():
                return self._told(people.add_device(self.plot_id, "spare", "reader", utc_now()).device_id)
        if name == "target_id":
            return self._told(self.address()[0])
        if name == "token":
            return self.address()[1]
        fixed = {
            "plot_id": self.plot_id, "record_id": self.note_id, "sha256": self.sha256, "channel": "email",
            "secret": self.feed, "name": "diary", "form": "observations",
            "import_id": self.note_id, "kind": "products",
        }  # fmt: skip
        return fixed[name]

    def address(self) -> tuple[str, str]:
        """A mail address of the plot that nobody used yet: its id, and the secret of its stop link."""
        with self.app.app_context():
            mail = f"{uuid.uuid4().hex}@example.org"
            made = targets.add_address(self.plot_id, mail, utc_now())
            self.made.append(mail)
            return made, self._stop_token(made)

    def _stop_token(self, target_id: str) -> str:
        wanted = select(MailTargetRow.stop_handle).where(MailTargetRow.id == target_id)
        with db.engine.connect() as connection:
            handle = str(connection.execute(wanted).scalar_one())
        return StopLinks(self.app.extensions[EXTENSION].settings.stop_key_file).token(handle)

    def _told(self, made: str) -> str:
        self.made.append(made)
        return made


@contextmanager
def household(folder: Path, migrated: Path, **settings: Any) -> Iterator[Household]:
    """Open the app on a database of its own."""
    database = folder / "attacked.sqlite3"
    shutil.copyfile(migrated, database)
    client = folder / "client"
    client.mkdir()
    (client / "index.html").write_text(SHELL)
    (folder / "outside.txt").write_text("not for the web")
    made = Settings(
        data=folder / "data",
        database_url=f"sqlite:///{database}",
        **{"rate_limits": False, "log_level": "error", **settings},
    )
    app = create_app(made, client_folder=client)
    with app.app_context():
        plot, other = people.create_plot(), people.create_plot()
        now = utc_now()
        paired = {role: people.add_device(plot, f"{role} phone", role, now, kind="token") for role in ROLES}
        paired["stranger"] = people.add_device(other, "stranger", "owner", now, kind="token")
        feed = feeds.make_feed(plot, now)
    headers = {who: {"Authorization": f"Bearer {one.token}"} for who, one in paired.items()}
    headers["nobody"] = {"Accept": "text/html, */*"}
    house = Household(app, plot, headers, {who: one.device_id for who, one in paired.items()}, feed=feed)
    _fill(house)
    yield house
    with app.app_context():
        db.engine.dispose()


def envelope(house: Household, *ops: dict[str, Any], who: str = "owner") -> dict[str, Any]:
    epoch = house.ask("owner", "GET", f"/api/v1/sync/pull?plot={house.plot_id}&limit=1").get_json()["epoch"]
    frame = {"protocol": 1, "schema": 1, "plot": house.plot_id, "epoch": epoch, "device": house.devices[who]}
    return {**frame, "sent_at": utc_now().isoformat(), "ops": list(ops)}


def put(type_name: str, set_: dict[str, Any], id_: str | None = None) -> dict[str, Any]:
    made = id_ or str(uuid.uuid4())
    return {
        "op_id": str(uuid.uuid4()),
        "kind": "put",
        "type": type_name,
        "id": made,
        "base_rev": 0,
        "set": set_,
    }


def _fill(house: Household) -> None:
    data = picture()
    house.sha256 = hashlib.sha256(data).hexdigest()
    said = {"observed_at": "2026-05-03T05:20:00+01:00", "text": "wet"}
    note = put("note", {**said, "photos": [{"sha256": house.sha256, "bytes": len(data)}]})
    house.note_id = note["id"]
    answer = house.ask("owner", "POST", "/api/v1/sync/push", json=envelope(house, note))
    assert answer.get_json()["results"][0]["status"] == "applied", answer.get_json()
    path = f"/api/v1/plots/{house.plot_id}/blobs/{house.sha256}"
    assert house.ask("owner", "PUT", path, data=data, content_type="image/jpeg").status_code == 201
