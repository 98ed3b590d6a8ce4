"""A small client for scripts and notebooks: what a plot has, and what a script may add. Needs nothing but Python.

::

    from underboard.client import Plot

    plot = Plot.pair("http://127.0.0.1:8350", "ACDE-FGHJ", "notebook")  # once; keep plot.token and plot.plot_id
    plot = Plot("http://127.0.0.1:8350", token, plot_id)
    for round_ in plot.slugs():
        print(round_["observed_at"], round_["mean"], round_["low"], round_["high"])
    table = plot.frame()  # a pandas DataFrame of every number that was seen; needs `pip install underboard[pandas]`
"""

from __future__ import annotations

import csv
import io
import json
import os
import ssl
import time
import uuid
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path
from typing import Any, Final
from urllib.error import HTTPError, URLError
from urllib.parse import quote, urlencode, urlsplit
from urllib.request import HTTPRedirectHandler, HTTPSHandler, OpenerDirector, Request, build_opener

__all__ = ["ApiError", "NoAnswer", "Plot", "Reading", "Record"]

_TRIES: Final = 4
_LONGEST_WAIT_S: Final = 30.0
_PIECE: Final = 256 * 1024


class ApiError(Exception):
    """The server said no. `detail` is its sentence; `errors` say where, as JSON pointers."""

    def __init__(self, status: int, problem: Mapping[str, Any]) -> None:
        self.status = status
        self.detail = str(problem.get("detail") or problem.get("title") or f"status {status}")
        self.errors: list[dict[str, str]] = list(problem.get("errors") or ())
        where = "".join(f" {one.get('pointer')}: {one.get('detail')}." for one in self.errors[:5])
        super().__init__(f"{status}: {self.detail}{where}")


class NoAnswer(Exception):
    """Nobody answered at the address. What was sent may have arrived; sending it again changes nothing."""


@dataclass(frozen=True)
class Record:
    """One record as the server has it. `body` holds its fields as they were entered."""

    id: str
    type: str
    rev: int
    body: Mapping[str, Any]
    conflicts: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True)
class Reading:
    """One thermometer at one moment; temperatures in `unit` (degC or degF). `at` must know its time zone."""

    station_id: str
    at: datetime
    current: float | None = None
    max: float | None = None
    min: float | None = None
    unit: str = "degC"
    humidity_percent: float | None = None

    def as_json(self) -> dict[str, Any]:
        if self.at.tzinfo is None:
            raise ValueError("A reading needs a time with its zone, such as datetime.now(UTC).")
        scales = {name: getattr(self, name) for name in ("current", "max", "min")}
        told: dict[str, Any] = {
            "station_id": self.station_id,
            "observed_at": self.at.isoformat(timespec="seconds"),
        }
        told |= {
            name: {"value": value, "unit": self.unit} for name, value in scales.items() if value is not None
        }
        if self.humidity_percent is not None:
            told["humidity_percent"] = self.humidity_percent
        return told


class _NoRedirects(HTTPRedirectHandler):
    """A redirect would carry the token to whoever it names."""

    def redirect_request(self, *words: Any, **named: Any) -> None:
        return None


@dataclass
class Plot:
    """One plot on one server.

    Parameters
    ----------
    url
        The server, such as ``https://192.168.1.20:8443``.
    token, plot_id
        What pairing answered.
    ca_file
        Your household's authority (``/install-ca/underboard-ca.pem``) when the server speaks https with it.
    """

    url: str
    token: str
    plot_id: str
    ca_file: str | os.PathLike[str] | None = None
    timeout_s: float = 30.0
    _opener: OpenerDirector = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._opener = _opener(self.url, self.ca_file)

    @classmethod
    def pair(
        cls, url: str, code: str, device_name: str, ca_file: str | os.PathLike[str] | None = None
    ) -> Plot:
        """Use a pairing code (`underboard pair`); the plot that comes back holds the token to keep."""
        stranger = cls(url, "", "", ca_file)
        told = stranger._json("POST", "pair", {"code": code, "device_name": device_name, "want": "token"})
        return cls(url, told["token"], told["plot_id"], ca_file)

    def records(self, *types: str) -> Iterator[Record]:
        """Give the plot's living records, of some types or all, newest state each."""
        cursor: str | None = None
        while True:
            query = {"plot": self.plot_id, "limit": 500} | ({"cursor": cursor} if cursor else {})
            page = self._json("GET", f"sync/pull?{urlencode(query)}")
            for one in page["records"]:
                if not one["deleted"] and (not types or one["type"] in types):
                    yield Record(one["id"], one["type"], one["rev"], one["body"], tuple(one["conflicts"]))
            if not page["more"]:
                return
            cursor = page["cursor"]

    def slugs(self) -> list[dict[str, Any]]:
        """Return every dawn round: mean a board [slugs] with its 95 % interval, by place, disputes apart."""
        found: list[dict[str, Any]] = self._json("GET", self._of("findings/slugs"))["rounds"]
        return found

    def observations(self) -> list[dict[str, str]]:
        """Return every number that was seen, one row each, as the table `observations.csv` has it."""
        text = self._bytes("GET", self._of("export/observations")).decode("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text, newline="")))

    def frame(self) -> Any:
        """Return the observations as a pandas DataFrame: times in UTC, values as floats, no value where none is."""
        pandas = import_module("pandas")
        table = pandas.read_csv(
            io.BytesIO(self._bytes("GET", self._of("export/observations"))), encoding="utf-8-sig"
        )
        table["seen at"] = pandas.to_datetime(table["seen at"], utc=True, format="ISO8601")
        table["value"] = table["value"].astype(float)
        return table

    def save_export(self, form: str, file: str | os.PathLike[str]) -> Path:
        """Write the plot in one form into a file: observations, tables, bundle, darwin-core, sensor-things, sketch."""
        return self._save(self._of(f"export/{quote(form, safe='')}"), file)

    def save_report(self, kind: str, file: str | os.PathLike[str], **about: str | int) -> Path:
        """Write a report (week, season, products) as .html or .pdf.

        `about`: until="2026-09-01" or year=2026, language="de".
        """
        form = Path(file).suffix.lstrip(".")
        return self._save(
            self._of(f"report/{quote(kind, safe='')}?{urlencode({'form': form, **about})}"), file
        )

    def send_readings(self, readings: Iterable[Reading]) -> list[dict[str, Any]]:
        """Send temperatures; each is known by station and time, so sending it again changes nothing."""
        told = [one.as_json() for one in readings]
        results: list[dict[str, Any]] = []
        for start in range(0, len(told), 500):
            batch = {"readings": told[start : start + 500]}
            results += self._json("POST", self._of("readings"), batch)["results"]
        return results

    def add(self, type_name: str, fields: Mapping[str, Any], record_id: str | None = None) -> dict[str, Any]:
        """Make a record, or set fields of one (`record_id` and what it was read with: see `change`)."""
        return self._push(type_name, fields, record_id or str(uuid.uuid4()), 0)

    def change(self, record: Record, fields: Mapping[str, Any]) -> dict[str, Any]:
        """Set fields of a record. If somebody changed the same ones since, the answer's status is `conflict`."""
        return self._push(record.type, fields, record.id, record.rev)

    def look_at_file(self, file: str | os.PathLike[str], **plan: Any) -> dict[str, Any]:
        """Say how a CSV file or spreadsheet would be read and what it would bring. Nothing is written."""
        return self._file("imports/preview", Path(file), plan)

    def take_file(self, file: str | os.PathLike[str], **plan: Any) -> dict[str, Any]:
        """Take in a CSV file, spreadsheet or bundle; `plan`: type, columns, day_first, station, unit."""
        return self._file("imports", Path(file), plan)

    def undo_import(self, import_id: str) -> dict[str, Any]:
        """Take an import back, but for records that somebody has worked on since."""
        done: dict[str, Any] = self._json("DELETE", self._of(f"imports/{quote(import_id, safe='')}"))
        return done

    def _of(self, rest: str) -> str:
        return f"plots/{quote(self.plot_id, safe='')}/{rest}"

    def _push(
        self, type_name: str, fields: Mapping[str, Any], record_id: str, base_rev: int
    ) -> dict[str, Any]:
        op = {
            "op_id": str(uuid.uuid4()), "kind": "put", "type": type_name, "id": record_id, "base_rev": base_rev,
            "set": dict(fields),
        }  # fmt: skip
        page = self._json("GET", f"sync/pull?{urlencode({'plot': self.plot_id, 'limit': 1})}")
        frame = {"protocol": 1, "schema": 1, "plot": self.plot_id, "epoch": page["epoch"], "device": "script"}
        answer = self._json(
            "POST", "sync/push", {**frame, "sent_at": datetime.now(UTC).isoformat(), "ops": [op]}
        )
        result: dict[str, Any] = answer["results"][0]
        if result["status"] == "rejected":
            raise ApiError(422, result.get("problem") or {})
        return {"id": record_id, **result}

    def _file(self, address: str, file: Path, plan: Mapping[str, Any]) -> dict[str, Any]:
        query = urlencode({"name": file.name, "plan": json.dumps(plan)})
        answer = self._bytes(
            "POST", f"{self._of(address)}?{query}", file.read_bytes(), "application/octet-stream"
        )
        told: dict[str, Any] = json.loads(answer)
        return told

    def _json(self, method: str, address: str, body: Mapping[str, Any] | None = None) -> Any:
        data = None if body is None else json.dumps(body).encode()
        return json.loads(self._bytes(method, address, data, "application/json"))

    def _bytes(self, method: str, address: str, data: bytes | None = None, kind: str = "") -> bytes:
        with self._asked(method, address, data, kind) as answer:
            found: bytes = answer.read()
        return found

    def _save(self, address: str, file: str | os.PathLike[str]) -> Path:
        target = Path(file)
        part = target.with_name(target.name + ".part")  # whole or not at all
        try:
            with self._asked("GET", address) as answer, part.open("wb") as out:
                while piece := answer.read(_PIECE):
                    out.write(piece)
            os.replace(part, target)
        finally:
            part.unlink(missing_ok=True)
        return target

    def _asked(self, method: str, address: str, data: bytes | None = None, kind: str = "") -> Any:
        """Ask; wait and ask again when the server is busy, as it says for how long."""
        request = Request(f"{self.url.rstrip('/')}/api/v1/{address}", data=data, method=method)
        request.add_header("Accept", "*/*")
        if self.token:
            request.add_header("Authorization", f"Bearer {self.token}")
        if kind:
            request.add_header("Content-Type", kind)
        for left in range(_TRIES - 1, -1, -1):
            try:
                return self._opener.open(request, timeout=self.timeout_s)
            except HTTPError as fault:
                with fault:
                    wait = fault.headers.get("Retry-After", "")
                    if fault.code in (429, 503) and left and wait.isdigit() and int(wait) <= _LONGEST_WAIT_S:
                        time.sleep(int(wait))
                        continue
                    raise ApiError(fault.code, _problem(fault.read())) from None
            except (URLError, TimeoutError, ConnectionError) as fault:
                raise NoAnswer(f"Nobody answers at {self.url}: {getattr(fault, 'reason', fault)}") from fault
        raise AssertionError  # the last try returned or raised


def _opener(url: str, ca_file: str | os.PathLike[str] | None) -> OpenerDirector:
    scheme = urlsplit(url).scheme
    if scheme not in ("http", "https"):
        raise ValueError(f"{url!r}: the address of a server begins with http:// or https://.")
    context = ssl.create_default_context(cafile=None if ca_file is None else os.fspath(ca_file))
    return build_opener(_NoRedirects, HTTPSHandler(context=context))


def _problem(raw: bytes) -> Mapping[str, Any]:
    try:
        found = json.loads(raw)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}
