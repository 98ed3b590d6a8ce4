"""Read a request body that anyone may have sent: size, form of packing, depth and odd numbers are bounded.

Everything here happens before a database lock is taken.
"""

from __future__ import annotations

import json
import math
import re
import zlib
from collections.abc import Iterator
from typing import Any, Final

from flask import Request

from underboard.core.depth import MAX_DEPTH, is_deeper
from underboard.web.problems import Problem

MAX_SENT: Final = 256 * 1024  # bytes on the wire
MAX_INFLATED: Final = 2 * 1024 * 1024  # bytes after gzip
ODD_TEXT: Final = "The text holds a character that can't be stored (NUL or half a pair): take it out."
_CHUNK: Final = 64 * 1024
# escapes for a lone half of a surrogate pair and for NUL: neither can be stored as text by every database
_ODD_ESCAPE: Final = re.compile(rb"\\u(?:[dD][89a-fA-F]|0000)")


def read_json(
    request: Request,
    *,
    max_sent: int = MAX_SENT,
    max_inflated: int = MAX_INFLATED,
    refuse_odd_text: bool = True,
) -> Any:
    """The JSON value in the body of `request`.

    With `refuse_odd_text` off the caller answers for odd text itself: a push refuses the one operation
    that holds it, so that the rest of the queue can go on.

    Raises
    ------
    Problem : 415 for another media type or packing, 413 too large, 400 malformed, too deep, or with a
        number or character that can't be kept.
    """
    if request.mimetype != "application/json":
        raise Problem("media-type", "Send JSON with Content-Type: application/json.")
    raw = b"".join(read_body(request, max_sent=max_sent, max_inflated=max_inflated))
    value = parse_json(raw)
    if refuse_odd_text and may_hold_odd_text(raw) and has_odd_text(value):
        raise Problem("malformed", ODD_TEXT)
    return value


def read_body(request: Request, *, max_sent: int, max_inflated: int) -> Iterator[bytes]:
    """Yield the body in pieces, inflated when it came as gzip, counted on both sides."""
    packing = request.headers.get("Content-Encoding", "identity").strip().lower()
    if packing not in ("identity", "gzip"):
        raise Problem("media-type", "Content-Encoding can be gzip or left out.")
    if request.content_length is not None and request.content_length > max_sent:
        raise _too_large(max_sent)
    pieces = _counted(request, max_sent)
    return pieces if packing == "identity" else _inflated(pieces, max_inflated)


def parse_json(raw: bytes) -> Any:
    """`raw` as JSON, strict where Python's parser is generous."""
    try:
        value = json.loads(raw, parse_constant=_no_constant, parse_float=_finite)
    except RecursionError:
        raise _too_deep() from None
    except (ValueError, UnicodeDecodeError):
        raise Problem("malformed", "The body is not JSON in UTF-8 with ordinary numbers.") from None
    if is_deeper(value, MAX_DEPTH):
        raise _too_deep()
    return value


def may_hold_odd_text(raw: bytes) -> bool:
    """Whether `has_odd_text` is worth asking: odd characters can only come in through escapes."""
    return _ODD_ESCAPE.search(raw) is not None


def has_odd_text(value: Any) -> bool:
    """Whether any text or key holds NUL or half of a surrogate pair."""
    waiting = [value]
    while waiting:
        item = waiting.pop()
        if isinstance(item, str):
            if "\0" in item or any("\ud800" <= letter <= "\udfff" for letter in item):
                return True
        elif isinstance(item, dict):
            waiting.extend(item)
            waiting.extend(item.values())
        elif isinstance(item, list):
            waiting.extend(item)
    return False


def _counted(request: Request, most: int) -> Iterator[bytes]:
    total = 0
    while piece := request.stream.read(_CHUNK):
        total += len(piece)
        if total > most:
            raise _too_large(most)
        yield piece


def _inflated(pieces: Iterator[bytes], most: int) -> Iterator[bytes]:
    unpack = zlib.decompressobj(wbits=31)  # 31: gzip header and check sum wanted
    total = 0
    try:
        for piece in pieces:
            while piece:
                if unpack.eof:
                    raise Problem("malformed", "There is something behind the end of the gzip data.")
                out = unpack.decompress(piece, _CHUNK)
                piece = unpack.unconsumed_tail or unpack.unused_data
                total += len(out)
                if total > most:
                    raise _too_large(most)
                if out:
                    yield out
        # the last bytes may still sit inside when the output filled a chunk exactly
        while out := unpack.decompress(unpack.unconsumed_tail, _CHUNK):
            total += len(out)
            if total > most:
                raise _too_large(most)
            yield out
    except zlib.error:
        raise Problem("malformed", "The gzip data is damaged: send it again.") from None
    if not unpack.eof:
        raise Problem("malformed", "The gzip data ends too early: send it again.")


def _finite(text: str) -> float:
    number = float(text)
    if math.isinf(number):
        raise ValueError(text)
    return number


def _no_constant(word: str) -> float:
    raise ValueError(word)


def _too_large(most: int) -> Problem:
    return Problem("too-large", f"At most {most // 1024} KiB can be sent at once: send less.", max_bytes=most)


def _too_deep() -> Problem:
    return Problem("malformed", f"The JSON is nested more than {MAX_DEPTH} deep.")
