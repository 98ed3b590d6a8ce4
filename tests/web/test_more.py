"""Photos, readings of loggers, findings, and the documents that describe the interface."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import pytest
from flask import Flask
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from marshmallow import ValidationError
from PIL import Image

from tests.web.conftest import Join, note
from underboard.core.records import RECORD_TYPES, check_set
from underboard.web import contract
from underboard.web.schemas.records import record_schema

ROOT = Path(__file__).parents[2]


def large_picture(size: tuple[int, int]) -> bytes:
    """A bit a pixel: made by every process that collects this file, in hundredths of what colours take."""
    out = io.BytesIO()
    Image.new("1", size).save(out, "PNG")
    return out.getvalue()


def picture(size: tuple[int, int] = (40, 30), gps: bool = False) -> bytes:
    out = io.BytesIO()
    exif = Image.Exif()
    if gps:
        exif.get_ifd(0x8825)[1] = "N"
    Image.new("RGB", size, "#357").save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_a_photo_is_kept_once_and_readable_when_a_record_names_it(join: Join) -> None:
    phone, stranger = join(), join()
    data = picture()
    sha = hashlib.sha256(data).hexdigest()
    path = f"/api/v1/plots/{phone.plot_id}/blobs/{sha}"
    assert phone.client.head(path, headers=phone.headers).status_code == 404
    for status in (201, 200):
        kept = phone.client.put(path, data=data, headers=phone.headers)
        # JSON: a phone takes anything else for a stranger's answer and would go on for ever.
        assert (kept.status_code, kept.get_json()) == (status, {"sha256": sha, "bytes": len(data)})
    known = phone.client.head(path, headers=phone.headers)
    assert (known.status_code, known.headers["ETag"]) == (200, f'"{sha}"')
    assert phone.get(path).status_code == 404
    op = note()
    op["set"]["photos"] = [{"sha256": sha, "bytes": len(data)}]
    phone.push({**op, "type": "trap_catch", "set": {"station_id": op["id"], "photos": op["set"]["photos"]}})
    answer = phone.get(path)
    assert (answer.status_code, answer.data, answer.mimetype) == (200, data, "image/jpeg")
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert stranger.get(path).status_code == 404
    assert stranger.client.put(path, data=data, headers=stranger.headers).status_code == 404


def test_a_small_picture_of_it_is_upright_and_silent(join: Join) -> None:
    phone, stranger = join(), join()
    lying = Image.new("RGB", (900, 600), (200, 30, 30))
    lying.paste((30, 30, 200), (450, 0, 900, 600))
    exif, out = Image.Exif(), io.BytesIO()
    exif[0x0112], exif[0x0110] = 6, "Some phone"  # "the left side is above": TIFF 6.0, tag 274
    lying.save(out, "JPEG", exif=exif)
    data = out.getvalue()
    sha = hashlib.sha256(data).hexdigest()
    path = f"/api/v1/plots/{phone.plot_id}/blobs/{sha}"
    phone.client.put(path, data=data, headers=phone.headers)
    assert phone.get(f"{path}/small").status_code == 404  # no record names it yet
    phone.push({**note(), "type": "photo", "set": {"sha256": sha, "bytes": len(data)}})
    answer = phone.get(f"{path}/small")
    assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    assert len(answer.data) < 20_000
    with Image.open(io.BytesIO(answer.data)) as small:
        assert (small.size, dict(small.getexif())) == ((213, 320), {})
        top, bottom = small.getpixel((100, 20)), small.getpixel((100, 300))
    assert isinstance(top, tuple) and isinstance(bottom, tuple)
    assert top[0] > 150 > top[2] and bottom[2] > 150 > bottom[0]
    assert stranger.get(f"{path}/small").status_code == 404


@pytest.mark.parametrize(
    ("data", "status"),
    [
        (b"", 422),
        (b"<html>not a picture</html>", 422),
        (picture()[:-200], 422),
        (picture(gps=True), 422),
        (large_picture((5000, 5000)), 413),
        (b"x" * (13 * 1024 * 1024), 413),
    ],
    ids=["empty", "html", "cut", "with a place", "bomb", "large"],
)
def test_what_is_no_whole_silent_picture_is_not_kept(join: Join, data: bytes, status: int) -> None:
    phone = join()
    sha = hashlib.sha256(data).hexdigest()
    path = f"/api/v1/plots/{phone.plot_id}/blobs/{sha}"
    assert phone.client.put(path, data=data, headers=phone.headers).status_code == status
    assert phone.client.head(path, headers=phone.headers).status_code == 404


def test_a_photo_under_another_name_is_not_kept(join: Join) -> None:
    phone = join()
    path = f"/api/v1/plots/{phone.plot_id}/blobs/{'0' * 64}"
    damaged = phone.client.put(path, data=picture(), headers=phone.headers)
    # Not the photo is bad but its way: the phone, which checks the name first, sends it again.
    assert (damaged.status_code, damaged.get_json()["type"]) == (422, "/problems/photo-damaged")
    bad = f"/api/v1/plots/{phone.plot_id}/blobs/..%2F..%2Fsettings.toml"
    assert phone.client.put(bad, data=picture(), headers=phone.headers).status_code in (404, 405)


def test_readings_of_a_logger_can_be_sent_twice(join: Join) -> None:
    logger = join()
    station = note()["id"]
    reading = {"station_id": station, "observed_at": "2026-05-03T05:20:00+01:00",
               "current": {"value": 41, "unit": "degF"}}  # fmt: skip
    wrong = {**reading, "observed_at": "2026-05-03T06:20:00+01:00", "current": {"value": 4, "unit": "cubits"}}
    path = f"/api/v1/plots/{logger.plot_id}/readings"
    first = logger.post(path, {"readings": [reading, wrong]}).get_json()["results"]
    assert [result["status"] for result in first] == ["applied", "rejected"]
    assert first[1]["problem"]["errors"][0]["pointer"].startswith("/set/current")
    again = {**reading, "observed_at": "2026-05-03T04:20:00Z"}
    assert logger.post(path, {"readings": [reading]}).get_json()["results"][0]["status"] == "duplicate"
    assert logger.post(path, {"readings": [again]}).get_json()["results"][0]["id"] == first[0]["id"]
    records = logger.pull()
    assert [record["body"]["current"] for record in records] == [{"value": 41, "unit": "degF"}]


def test_findings_keep_the_four_states_and_double_counts_apart(join: Join) -> None:
    phone = join()
    walk = note() | {"type": "round", "set": {"kind": "dawn", "observed_at": "2026-05-03T05:20:00+01:00"}}
    phone.push(walk)
    stations = [note()["id"] for _ in range(4)]

    def count(station: str, observer: str, **said: object) -> dict[str, object]:
        when = {"round_id": walk["id"], "station_id": station, "observed_at": "2026-05-03T05:30:00+01:00"}
        return note() | {"type": "slug_count", "set": {**when, "observer": observer, **said}}

    rivals = [
        count(stations[3], "Ada", state="counted", count=3),
        count(stations[3], "Bo", state="counted", count=9),
    ]
    phone.push(
        count(stations[0], "Ada", state="counted", count=4),
        count(stations[1], "Ada", state="none_found"),
        count(stations[2], "Ada", state="not_turned"),
        *rivals,
    )
    found = phone.get(f"/api/v1/plots/{phone.plot_id}/findings/slugs").get_json()["rounds"][0]
    assert (found["n_boards"], found["total"], found["mean"], found["not_turned"]) == (2, 4, 2.0, 1)
    assert found["double_counts"] == [stations[3]]
    assert found["worst_total"] == 13
    # Garwood 1936, 4 counted: 1.0899 to 10.2416; two boards that differ by chance alone.
    assert found["low"] < 1.0899 / 2 + 1e-3 and found["high"] > 10.2416 / 2 - 1e-3
    # "Can't tell, keep both" leaves nothing to settle, and the board stays out of the mean.
    phone.push(
        *(
            note() | {"id": one["id"], "type": "slug_count", "base_rev": 1, "set": {"stands": True}}
            for one in rivals
        )
    )
    kept = phone.get(f"/api/v1/plots/{phone.plot_id}/findings/slugs").get_json()["rounds"][0]
    assert (kept["double_counts"], kept["kept_both"], kept["mean"]) == ([], [stations[3]], 2.0)


def test_findings_replay_a_rule_over_the_plot(join: Join) -> None:
    """A clear evening at 5 °C, no crop: four public stations; in the morning −1.5 °C at the thermometer."""
    phone = join()
    plot = note() | {
        "id": phone.plot_id, "type": "plot", "set": {"name": "Hill", "time_zone": "Europe/London", "latitude": 52.6,
                                                     "longitude": 1.3}
    }  # fmt: skip
    post = note() | {"type": "station", "set": {"kind": "thermometer", "label": "Post", "exposure": "screen"}}

    def read(at: str, **said: object) -> dict[str, object]:
        return note() | {"type": "temperature", "set": {"station_id": post["id"], "observed_at": at, **said}}

    evening = {"air": {"value": 5, "unit": "degC"}, "dew": {"value": -2, "unit": "degC"}, "sky": "clear"}
    low = {"value": -1.5, "unit": "degC"}
    phone.push(
        plot,
        post,
        read("2026-04-29T08:00:00+01:00", current={"value": 6, "unit": "degC"}, reset_done=True),
        note() | {"type": "evening", "set": {**evening, "observed_at": "2026-04-29T22:30:00+01:00"}},
        read("2026-04-30T08:00:00+01:00", min=low, reset_done=True),
    )
    path = f"/api/v1/plots/{phone.plot_id}/findings/warnings"
    found = phone.get(f"{path}?rule=frost").get_json()
    assert (found["n"], found["hits"], found["misses"]) == (1, 1, 0)
    assert (found["cost"], found["beside"]["never"]["cost"]) == (4.0, 60.0)
    assert phone.get(f"{path}?from=2026-05-01").get_json()["n"] == 0
    # The same answer while nothing has come; another as soon as a record has: now there is a second such night.
    assert phone.get(f"{path}?rule=frost").get_json() == found
    phone.push(
        note() | {"type": "evening", "set": {**evening, "observed_at": "2026-04-30T22:30:00+01:00"}},
        read("2026-05-01T08:00:00+01:00", min=low, reset_done=True),
    )
    again = phone.get(f"{path}?rule=frost").get_json()
    assert (again["n"], again["hits"], again["misses"]) == (2, 2, 0)
    # And another with other settings of the plot: at a cost as high as the loss nothing is worth a warning.
    phone.push(note() | {"type": "watch", "set": {"rule": "frost", "settings": {"cost": 60, "loss": 60}}})
    assert phone.get(f"{path}?rule=frost").get_json()["cost_of_a_warning"] == 60
    refused = phone.get(f"{path}?rule=hail")
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == "?/rule"
    assert phone.get(f"{path}?from=yesterday").status_code == 422


def test_the_openapi_document_has_every_record_type(app: Flask) -> None:
    document = app.test_client().get("/api/v1/openapi.json").get_json()
    assert document["openapi"].startswith("3.1")
    wanted = {"/api/v1/hello", "/api/v1/pair", "/api/v1/devices", "/api/v1/sync/push", "/api/v1/sync/pull",
              "/api/v1/plots/{plot_id}/blobs/{sha256}", "/api/v1/plots/{plot_id}/readings"}  # fmt: skip
    assert wanted <= set(document["paths"])
    names = {name.casefold() for name in document["components"]["schemas"]}
    missing = [name for name in RECORD_TYPES if name.replace("_", "") not in names]
    assert missing == []


def test_the_types_of_the_phone_are_fresh() -> None:
    assert (ROOT / "pwa/src/generated/api.ts").read_text("utf-8") == contract.make(), (
        "run: python -m underboard.web.contract"
    )


json_values = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**6), 10**6) | st.floats(allow_nan=False, allow_infinity=False)
    | st.sampled_from(["", "counted", "dawn", "degC", "2026-05-03T05:20:00+01:00", "2026-05-03", "Europe/London",
                       "01890000-0000-7000-8000-000000000000", "a" * 64, "bed", "x" * 5000]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.sampled_from(["value", "unit", "sha256", "x"]), inner),
    max_leaves=5,
)  # fmt: skip


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(data=st.data(), name=st.sampled_from(sorted(RECORD_TYPES)))
def test_the_schemas_agree_with_the_one_check(data: st.DataObject, name: str) -> None:
    """A set passes the marshmallow schema exactly when the check that push uses finds no fault."""
    fields = sorted(RECORD_TYPES[name].fields)
    set_ = data.draw(st.dictionaries(st.sampled_from(fields), json_values, max_size=3))
    faults = check_set(name, set_, creating=False)
    try:
        record_schema(name)().load(set_, partial=tuple(fields))
        passed = True
    except ValidationError:
        passed = False
    assert passed == (faults == []), (set_, faults)
