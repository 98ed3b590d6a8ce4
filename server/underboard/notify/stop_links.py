"""The secret of a mail's stop link, told from what the database keeps and a key that it does not.

The database keeps a handle of each address, which is no secret; a link carries the handle and its proof, an HMAC
(RFC 2104). So every mail can carry the link again, and whoever has a copy of the database, such as a backup without
keys, can stop nothing.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from pathlib import Path
from typing import Final

from underboard.data_folder import secret_once
from underboard.notify.push_secrets import encoded

_KEY: Final = 32  # bytes
_PROOF: Final = 16  # bytes: half of the hash is the least that should stay (RFC 2104, section 5)


class StopLinks:
    """Makes and opens the secrets, with a key that is made at first use."""

    def __init__(self, file: Path) -> None:
        self._file = file

    def token(self, handle: str) -> str:
        """Return what stands in the link of the address with this handle; always the same."""
        return f"{handle}.{self._proof(handle)}"

    def handle(self, token: str) -> str:
        """Return the handle that a link is about; of a link that is none of ours it is one that nobody has."""
        handle, _, proof = token.rpartition(".")
        if (
            handle
            and self._file.exists()
            and hmac.compare_digest(proof.encode(), self._proof(handle).encode())
        ):
            return handle
        # Mails of before step 0004 carry a random secret, whose SHA-256 that step made the handle.
        return hashlib.sha256(token.encode()).hexdigest()

    def _proof(self, handle: str) -> str:
        key = secret_once(self._file, lambda: secrets.token_hex(_KEY)).strip()
        if not re.fullmatch(
            f"[0-9a-f]{{{2 * _KEY}}}", key
        ):  # cut off by a power cut, it would prove anything
            raise ValueError(f"{self._file} holds no key any more: remove it, and new mails carry new links.")
        return encoded(
            hmac.digest(bytes.fromhex(key), b"stop link\0" + handle.encode(), hashlib.sha256)[:_PROOF]
        )
