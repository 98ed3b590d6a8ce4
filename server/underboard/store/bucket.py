"""Photos in a bucket of S3-compatible storage: a shelf like the folder, for many plots and more than one machine.

One object a photo, named `<prefix>/<plot id>/<two digits>/<sha256>`. An object appears whole or not at all, and S3
answers a PUT only once the object is durable. The request's signature covers the SHA-256 of the bytes (AWS Signature
Version 4), so that bytes changed on the way are refused. The client is `obstore` (extra `s3`).
"""

from __future__ import annotations

import importlib.util
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import IO, TYPE_CHECKING
from urllib.parse import urlsplit

from underboard.config import Settings, SettingsError
from underboard.core.errors import PhotosAway, UnknownBlob
from underboard.store.shelves import place_of

if TYPE_CHECKING:
    from obstore.store import S3Store

IN_MEMORY = 1024 * 1024
"""A photo that is read lies in memory up to here [bytes], above it in a file without a name."""
ANSWER_WITHIN = timedelta(seconds=20)
_CODE = re.compile(r"<Code>(\w{1,60})</Code>")
_PLACE = re.compile(r"([0-9a-fA-F-]{1,64})/[0-9a-f]{2}/([0-9a-f]{64})\Z")


class Bucket:
    """A bucket, or a part of one below a prefix.

    Raises
    ------
    SettingsError
        Its client is not installed, or nobody has said who we are there.
    """

    def __init__(self, settings: Settings) -> None:
        if importlib.util.find_spec("obstore") is None:
            raise SettingsError("photo_store needs one more package: pip install 'underboard[s3]'.")
        if not all(settings.photo_keys):
            raise SettingsError(
                f"photo_store needs its access key and secret key: put them into {settings.keys / 'photo_access_key'}"
                f" and {settings.keys / 'photo_secret_key'}, or UNDERBOARD_PHOTO_ACCESS_KEY and …_SECRET_KEY."
            )
        self._settings = settings
        self._client: S3Store | None = None

    def desk(self, plot_id: str, sha256: str) -> Path:
        place_of(plot_id, sha256)
        self._settings.blobs.mkdir(parents=True, exist_ok=True)
        return self._settings.blobs

    def has(self, plot_id: str, sha256: str) -> bool:
        import obstore

        place = place_of(plot_id, sha256)
        with _in_our_words():
            try:
                obstore.head(self._store(), place)
            except FileNotFoundError:
                return False
        return True

    def keep(self, plot_id: str, sha256: str, part: Path) -> None:
        import obstore

        with _in_our_words():
            # In one request, so that there is no half of it; a photo has 12 MiB at most.
            obstore.put(self._store(), place_of(plot_id, sha256), part, use_multipart=False)
        part.unlink()

    @contextmanager
    def open(self, plot_id: str, sha256: str) -> Iterator[IO[bytes]]:
        import obstore

        place = place_of(plot_id, sha256)
        with tempfile.SpooledTemporaryFile(IN_MEMORY) as here:
            with _in_our_words():
                try:
                    for piece in obstore.get(self._store(), place):
                        here.write(piece)
                except FileNotFoundError:
                    raise UnknownBlob(sha256) from None
            here.seek(0)
            yield here

    def sizes(self) -> Iterator[tuple[str, str, int]]:
        import obstore

        with _in_our_words():
            for page in obstore.list(self._store()):
                for found in page:
                    photo = _PLACE.search(found["path"])
                    if photo is not None:
                        yield photo[1], photo[2], found["size"]

    def probe(self, word: str) -> None:
        import obstore

        with _in_our_words():
            obstore.put(self._store(), f"probe-{word}", word.encode(), use_multipart=False)
            said = obstore.get(self._store(), f"probe-{word}").bytes().to_bytes()
            obstore.delete(self._store(), f"probe-{word}")
        if said != word.encode():
            raise PhotosAway("it gives back other bytes than it was given")

    def _store(self) -> S3Store:
        """The client, made at its first use: its threads would not survive that a server forks its workers."""
        if self._client is None:
            from obstore.store import S3Store

            said = urlsplit(self._settings.photo_store)
            bucket, _, prefix = said.path.strip("/").partition("/")
            access, secret = self._settings.photo_keys
            self._client = S3Store(
                bucket,
                prefix=prefix or None,
                endpoint=f"{said.scheme}://{said.netloc}",
                region=self._settings.photo_region,
                access_key_id=access,
                secret_access_key=secret,
                virtual_hosted_style_request=False,
                client_options={
                    "allow_http": said.scheme == "http",
                    "connect_timeout": timedelta(seconds=5),
                    "timeout": ANSWER_WITHIN,
                },
                retry_config={"max_retries": 2, "retry_timeout": ANSWER_WITHIN},
            )
        return self._client


@contextmanager
def _in_our_words() -> Iterator[None]:
    """What the client says holds addresses and whole answers; a person and a log get the reason alone."""
    from obstore.exceptions import BaseError, PermissionDeniedError, UnauthenticatedError

    try:
        yield
    except (BaseError, OSError) as fault:
        code = _CODE.search(str(fault))
        refused = isinstance(fault, PermissionDeniedError | UnauthenticatedError)  # a HEAD tells no code
        raise PhotosAway(code[1] if code else "refused" if refused else "no answer") from None
