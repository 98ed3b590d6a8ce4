"""What the server has of the photos that phones promised to keep: their bytes, hashed here."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any
from urllib.error import HTTPError

from tests.browser.server import ServerProcess


def not_there(
    server: ServerProcess,
    plot: str,
    headers: dict[str, str],
    records: Iterable[Mapping[str, Any]],
    promised: set[str],
) -> set[str]:
    """Return which of these photos the server lacks, or has with other bytes.

    One that a record names is asked for as everybody asks. The server gives out no other: a photo whose phone died
    before it saved the record is looked for where the server keeps its bytes.
    """
    named = {one["sha256"] for record in records for one in record["body"].get("photos", [])}

    def kept(sha256: str) -> bytes:
        if sha256 in named:
            return server.photo(plot, sha256, headers)
        return (server.data / "blobs" / plot / sha256[:2] / sha256).read_bytes()

    wrong = set()
    for sha256 in promised:
        try:
            if hashlib.sha256(kept(sha256)).hexdigest() != sha256:
                wrong.add(sha256)
        except (HTTPError, FileNotFoundError):
            wrong.add(sha256)
    return wrong
