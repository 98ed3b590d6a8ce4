"""Photos by the SHA-256 of their bytes."""

from __future__ import annotations

import re
from typing import Final

from flask import Response, jsonify, request

from underboard.core.errors import PhotoFault, PhotoMismatch, PhotoTooLarge, UnknownBlob
from underboard.store.blobs import MAX_BYTES, small_picture
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.limits import PHOTOS
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.schemas.answers import BlobSchema
from underboard.web.services import services

subject = Subject("blobs", __name__, "Photos.")
_SHA256: Final = re.compile(r"[0-9a-f]{64}")
_BYTES: Final = {"type": "string", "format": "binary"}
_ADDRESS: Final = "/plots/<plot_id>/blobs/<sha256>"


@subject.route(_ADDRESS, methods=["HEAD", "GET"])
@subject.response(200, _BYTES, content_type="image/*")
def get_blob(plot_id: str, sha256: str) -> Response:
    """Give a photo that a record of the plot names. HEAD also knows one that waits for its record."""
    device = require(Act.READ, plot_id)
    _check_name(sha256)
    store = services().blobs
    if request.method == "HEAD":
        found = store.info(device.plot_id, sha256)
        if found is None:
            raise Problem("not-found", "This plot has no such photo.")
        # The tag says that it is we who know it: on a strange wifi anything may answer 200 to a HEAD.
        return Response(headers={"Content-Type": found.mime, "ETag": f'"{sha256}"'})
    try:
        with store.open(device.plot_id, sha256) as (found, stream):
            return _picture(stream.read(), found.mime, sha256)
    except UnknownBlob as fault:
        raise Problem("not-found", str(fault)) from fault


@subject.route(_ADDRESS + "/small", methods=["GET"])
@subject.response(200, _BYTES, content_type="image/jpeg")
def get_small_blob(plot_id: str, sha256: str) -> Response:
    """Give a small picture of a photo, at most 320 points on its longer side, for phones to keep."""
    device = require(Act.READ, plot_id)
    _check_name(sha256)
    try:
        with services().blobs.open(device.plot_id, sha256) as (_, stream):
            return _picture(small_picture(stream), "image/jpeg", f"{sha256}-small")
    except UnknownBlob as fault:
        raise Problem("not-found", str(fault)) from fault


def _picture(data: bytes, mime: str, name: str) -> Response:
    answer = Response(data, content_type=mime)
    extension = mime.rsplit("/", 1)[-1].replace("jpeg", "jpg")
    # Shown only as a picture, never run as a page: OWASP ASVS 5.0, 3.2.1 and 5.4.1.
    answer.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    answer.headers["Content-Disposition"] = f'inline; filename="{name[:16]}.{extension}"'
    answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    answer.set_etag(name)
    return answer


@subject.route(_ADDRESS, methods=["PUT"])
@subject.doc(requestBody={"required": True, "content": {"image/*": {"schema": _BYTES}}})
@subject.response(201, BlobSchema)
@subject.also(200, BlobSchema, description="It was here already.")
@subject.alt_response(413, description="More than 12 MiB or 24 million points.")
@subject.alt_response(422, description="Other bytes than the name says, not a picture, or with a location.")
def put_blob(plot_id: str, sha256: str) -> Response:
    """Take a photo in. Sending it again changes nothing: 201 the first time, 200 after."""
    device = require(Act.RECORD, plot_id)
    _check_name(sha256)
    wait = services().limits.take(PHOTOS, device.id)
    if wait:
        raise Problem("too-many", "Too many photos at once: wait a little.", retry_after=wait)
    if request.content_length is not None and request.content_length > MAX_BYTES:
        raise Problem("too-large", "A photo has at most 12 MiB: send it smaller.", max_bytes=MAX_BYTES)
    try:
        kept = services().blobs.write_stream(
            device.plot_id, sha256, request.stream, device.id, services().now()
        )
    except PhotoTooLarge as fault:
        raise Problem("too-large", str(fault), max_bytes=MAX_BYTES) from fault
    except PhotoMismatch as fault:
        raise Problem("photo-damaged", str(fault)) from fault
    except PhotoFault as fault:
        raise Problem("photo", str(fault)) from fault
    if kept.new:
        services().tallies.add("underboard_photos_total")
    # JSON, as of every other door: by it a phone tells its own server from a stranger that answers anything.
    answer = jsonify({"sha256": kept.sha256, "bytes": kept.bytes})
    answer.status_code = 201 if kept.new else 200
    return answer


def _check_name(sha256: str) -> None:
    if not _SHA256.fullmatch(sha256):
        raise Problem("not-found", "A photo's name is the SHA-256 of its bytes, 64 hexadecimal digits.")
