"""`underboard export` and the addresses behind it: every form, whole files, the right heads."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from datetime import datetime
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

import pytest
from werkzeug.datastructures import Headers

from tests.attacks.hostile import hostile_records
from tests.attacks.household import Household, envelope, household, put
from tests.exchange.made_plots import START, MadePlot
from underboard.cli import main
from underboard.exchange.bundle import read_bundle, write_bundle
from underboard.exchange.holding import Holding
from underboard.exchange.out.forms import FORMS
from underboard.store import people
from underboard.web.services import utc_now


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path):  # type: ignore[no-untyped-def]
    with household(tmp_path_factory.mktemp("leaving"), migrated_sqlite) as made:
        ops = [put(one["type"], one["set"], one["id"]) for one in hostile_records(made.plot_id)]
        made.ask("owner", "POST", "/api/v1/sync/push", json=envelope(made, *ops))
        yield made


def fetched(house: Household, form: str, who: str = "reader") -> tuple[int, Headers, bytes]:
    answer = house.ask(who, "GET", f"/api/v1/plots/{house.plot_id}/export/{form}")
    return answer.status_code, answer.headers, answer.data


@pytest.mark.parametrize("form", [form for form in FORMS if form != "parquet"])
def test_every_form_is_a_file_to_keep_and_never_a_page(house: Household, form: str) -> None:
    status, headers, data = fetched(house, form)
    assert status == 200 and data
    assert headers["Content-Type"].split(";")[0] == FORMS[form].media_type
    assert headers["Content-Disposition"].startswith("attachment; filename=")
    assert "<" not in headers["Content-Disposition"] and headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert headers["Cache-Control"] == "no-store"
    if FORMS[form].media_type == "application/zip":
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            assert archive.testzip() is None
    elif form != "observations":
        json.loads(data)


def test_a_photo_travels_in_the_bundle(house: Household) -> None:
    bundle = read_bundle(io.BytesIO(fetched(house, "bundle")[2]))
    assert bundle.plot_id == house.plot_id
    assert bundle.photo(house.sha256) == house.ask(
        "owner", "GET", f"/api/v1/plots/{house.plot_id}/blobs/{house.sha256}"
    ).data  # fmt: skip


def test_a_form_there_is_not_and_a_plot_without_a_position_are_told_in_words(house: Household) -> None:
    status, _, data = fetched(house, "punched-cards")
    assert status == 404 and "darwin-core" in json.loads(data)["detail"]
    with house.app.app_context():
        empty = people.create_plot()
        device = people.add_device(empty, "phone", "owner", utc_now(), kind="token")
    head = {"Authorization": f"Bearer {device.token}"}
    answer = house.app.test_client().get(f"/api/v1/plots/{empty}/export/sketch", headers=head)
    assert answer.status_code == 422 and answer.get_json()["errors"][0]["pointer"] == "/latitude"
    for form in FORMS:
        if form not in ("sketch", "parquet"):
            answer = house.app.test_client().get(f"/api/v1/plots/{empty}/export/{form}", headers=head)
            assert answer.status_code == 200, form


def test_the_command_writes_a_whole_file_and_says_what_is_in_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = ["--data", str(tmp_path / "data")]
    made = MadePlot(9)
    with (tmp_path / "made.zip").open("wb") as out:
        write_bundle(out, Holding(made.plot_id, made.records), made.photos.get, START, "1")
    assert main(["import", str(tmp_path / "made.zip"), *data]) == 0
    capsys.readouterr()
    assert main(["export", "bundle", str(tmp_path), *data, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    file = Path(told["file"])
    assert file.parent == tmp_path and file.stat().st_size == told["bytes"]
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".part"] == []
    with file.open("rb") as stream:
        assert len(read_bundle(stream).records) == len(made.records)
    assert main(["export", "tables", str(tmp_path / "no" / "x.zip"), *data]) == 2
    assert "make it first" in capsys.readouterr().err


def test_parquet_says_what_it_needs_or_reads_back_as_it_is_meant(house: Household) -> None:
    """Whichever holds on this machine: the package is an extra."""
    status, _, data = fetched(house, "parquet")
    if find_spec("pyarrow") is None:
        assert status == 422 and "underboard[parquet]" in json.loads(data)["detail"]
        return
    arrow = import_module("pyarrow.parquet")
    table = arrow.read_table(io.BytesIO(data)).to_pydict()
    rows = list(
        csv.DictReader(io.StringIO(fetched(house, "observations")[2].decode("utf-8-sig"), newline=""))
    )
    assert status == 200 and len(rows) == len(table["value"]) > 3
    for number, row in enumerate(rows):
        assert table["value"][number] == (float(row["value"]) if row["value"] else None)
        assert table["seen_at"][number] == datetime.fromisoformat(row["seen at"])
        assert (table["state"][number], table["unit"][number]) == (row["state"], row["unit"])
