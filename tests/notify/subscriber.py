"""A browser's side of a push subscription: its keys, and reading what was sent to it.

Opened with `http_ece`, which we did not write.
"""

from __future__ import annotations

import base64
import json
import os
from typing import Any

import http_ece
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat


def encoded(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


class Subscriber:
    """One browser. `keys` is what it tells the server."""

    def __init__(self) -> None:
        self._private = ec.generate_private_key(ec.SECP256R1())
        self._secret = os.urandom(16)

    @property
    def keys(self) -> dict[str, str]:
        point = self._private.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
        return {"p256dh": encoded(point), "auth": encoded(self._secret)}

    def open(self, body: bytes) -> Any:
        """Decrypt a push and read its JSON."""
        plain = http_ece.decrypt(
            body, private_key=self._private, auth_secret=self._secret, version="aes128gcm"
        )
        return json.loads(plain)
