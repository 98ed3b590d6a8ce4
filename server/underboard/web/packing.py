"""Pack answers with gzip level 1 when the caller can unpack them and it is worth it.

Level 1: on small boards the processor is slower than the network at home; higher levels gain a few per cent.
"""

from __future__ import annotations

import gzip
from typing import Final

from flask import Flask, Response, request

WORTH_IT: Final = 600  # bytes; below that the packed answer still fills one network packet
TYPES: Final = frozenset({"application/json", "application/problem+json", "text/plain", "text/csv"})


def register_packing(app: Flask) -> None:
    """Pack after the view has answered."""
    app.after_request(_pack)


def _pack(answer: Response) -> Response:
    if answer.mimetype not in TYPES or answer.direct_passthrough:
        return answer
    answer.vary.add("Accept-Encoding")
    if "Content-Encoding" in answer.headers or answer.status_code in (204, 304):
        return answer
    if request.method == "HEAD" or not request.accept_encodings["gzip"]:
        return answer
    body = answer.get_data()
    if len(body) < WORTH_IT:
        return answer
    answer.set_data(gzip.compress(body, 1, mtime=0))
    answer.headers["Content-Encoding"] = "gzip"
    tag, weak = answer.get_etag()
    if tag and not weak:
        # the bytes differ from the unpacked ones, so the tag may only promise the same meaning (RFC 9110, 8.8.1)
        answer.set_etag(tag, weak=True)
    return answer
