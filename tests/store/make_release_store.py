"""Write the store of a release: a small database made by that release's own code, and what phones pulled from it.

Run once for each step of the schema, in a checkout of the last commit that had it as its newest:

    PYTHONPATH=server:. python /path/to/make_release_store.py 0002 /path/to/fixtures/stores

so it uses nothing but what every release has. The results are never made anew: that is what they are for.
"""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import sqlite3
import sys
import tempfile
from pathlib import Path

from PIL import Image

from tests.conftest import bare_app
from tests.store.sender import COUNT, NOW, Sender, delete, new_plot, put
from underboard.store import db, migrate_to_head, people, sync_store
from underboard.store.blobs import BlobStore
from underboard.store.shelves import Folder


def fill(folder: Path) -> Sender:
    """An edit, a deletion, an open conflict, a settled one, a photo, a phone put out, words in many letters."""
    a, b = new_plot("Maren", "Ines")
    kept, gone, argued, settled = (put({**COUNT, "count": n}) for n in (5, 2, 7, 8))
    a.push(kept, gone, argued, settled, put({**COUNT, "note": "größer ☔ «42»"}))
    a.push(put({"count": 9}, kept["id"], 1), delete(gone["id"], 1))
    for one in (argued, settled):
        a.push(put({"count": 1}, one["id"], 1))
        b.push(put({"count": 3}, one["id"], 1))
    (clash,) = a.record(settled["id"])["conflicts"]
    b.push(put({"count": 3}, settled["id"], 3, kind="resolve", conflicts=[clash["id"]]))
    out = io.BytesIO()
    Image.new("RGB", (8, 6), (20, 90, 40)).save(out, "PNG")
    sha256 = hashlib.sha256(out.getvalue()).hexdigest()
    BlobStore(Folder(folder / "blobs")).write_stream(
        a.plot_id, sha256, io.BytesIO(out.getvalue()), a.device_id, NOW
    )
    a.push(put({**COUNT, "photos": [{"sha256": sha256, "bytes": len(out.getvalue())}]}))
    lost = people.add_device(a.plot_id, "lost in the field", "helper", NOW)
    people.revoke(a.plot_id, lost.device_id, NOW, a.device_id)
    return a


def main(step: str, target: Path) -> None:
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "underboard.sqlite3"
        migrate_to_head(f"sqlite:///{file}")
        app = bare_app(f"sqlite:///{file}")
        with app.app_context():
            phone = fill(Path(name))
            said = {
                "plot_id": phone.plot_id,
                "epoch": sync_store.epoch_of(phone.plot_id),
                "records": phone.pull_all()[0],
                "devices": [[one.name, one.role] for one in people.devices(phone.plot_id)],
            }
            db.engine.dispose()
        with sqlite3.connect(file) as connection:
            assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == (step,)
            connection.execute("PRAGMA journal_mode=DELETE")
        connection.close()
        with gzip.GzipFile(target / f"{step}.sqlite3.gz", "wb", mtime=0) as out:
            out.write(file.read_bytes())
        (target / f"{step}.json").write_text(
            json.dumps(said, indent=1, ensure_ascii=False, default=str) + "\n", "utf-8"
        )


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
