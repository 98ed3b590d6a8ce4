"""What `doctor` says of a photo store that is not the data folder."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from typing import TYPE_CHECKING

from underboard.cli.doctor import Finding
from underboard.config import SettingsError
from underboard.core.errors import PhotosAway
from underboard.store.shelves import shelf_of

if TYPE_CHECKING:
    from underboard.config import Settings

WHAT_TO_DO = {
    "NoSuchBucket": "make the bucket, or mend its name in photo_store.",
    "InvalidAccessKeyId": "the access key is not known there: look at keys/photo_access_key.",
    "SignatureDoesNotMatch": "the secret key is not the right one, or photo_region is another.",
    "AccessDenied": "these keys may not do that: they must be let read, write, list and delete there.",
}


def photos(settings: Settings) -> Iterator[Finding]:
    """Write a small object into the bucket, read it, list, and take it away; photos are only counted."""
    if not settings.photo_store:
        return
    try:
        shelf = shelf_of(settings)
        shelf.probe(uuid.uuid4().hex)
        sizes = [size for _, _, size in shelf.sizes()]
    except PhotosAway as fault:
        rest = WHAT_TO_DO.get(fault.why, "is it running, and is its address right?")
        yield Finding("photos", "trouble", f"the photo store can't be used ({fault.why}): {rest}")
        return
    except SettingsError as fault:
        yield Finding("photos", "trouble", str(fault))
        return
    words = f"{len(sizes):,} in the photo store, {sum(sizes) / 1e9:.1f} GB"
    if settings.photo_store.startswith("http:"):
        words += "; by plain http, so only fit for a network of your own"
    yield Finding("photos", "ok", words)
