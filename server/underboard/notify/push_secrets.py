"""The two secrets of Web Push: what the message says, and who sends it.

Encryption: RFC 8291 with the content coding of RFC 8188. Identity: RFC 8292 (VAPID), a JWT signed with ES256
(RFC 7515, RFC 7518 section 3.4). `cryptography` is imported at first use: a server without phones that take
notices never needs it.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import os
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final

from underboard.data_folder import secret_once

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

RECORD_SIZE: Final = 4096
TOKEN_HOLDS: Final = timedelta(hours=12)  # RFC 8292, section 2: at most 24 hours


class BadKeys(Exception):
    """A phone's keys that nothing can be encrypted for."""


def encoded(data: bytes) -> str:
    """Base64 for addresses, without padding (RFC 4648, section 5)."""
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def decoded(text: str) -> bytes:
    """Undo `encoded`; padding is taken too.

    Raises
    ------
    BadKeys
    """
    try:
        bare = text.rstrip("=")
        return base64.b64decode(bare + "=" * (-len(bare) % 4), altchars=b"-_", validate=True)
    except ValueError:
        raise BadKeys("The phone's push keys can't be read.") from None


def check_keys(p256dh: str, auth: str) -> None:
    """Refuse keys that can't be right: a point on P-256 (65 bytes) and a secret of 16 bytes (RFC 8291, 3.2).

    Raises
    ------
    BadKeys
    """
    from cryptography.hazmat.primitives.asymmetric import ec

    if len(decoded(auth)) != 16:
        raise BadKeys("The phone's push secret must be 16 bytes long.")
    try:
        ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), decoded(p256dh))
    except ValueError:
        raise BadKeys("The phone's push key is not a point of the curve P-256.") from None


def encrypt(
    plain: bytes,
    p256dh: str,
    auth: str,
    *,
    salt: bytes | None = None,
    sender: EllipticCurvePrivateKey | None = None,
) -> bytes:
    """Encrypt a message for one browser, as the body of a push in the coding aes128gcm.

    Parameters
    ----------
    plain
        At most 3993 bytes, so that it fits one record of 4096 bytes.
    salt, sender
        16 bytes and a key on P-256, fresh for each message when left out.

    Raises
    ------
    BadKeys
    """
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM
    from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

    check_keys(p256dh, auth)
    receiver_point, secret = decoded(p256dh), decoded(auth)
    receiver = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), receiver_point)
    sender = sender or ec.generate_private_key(ec.SECP256R1())
    salt = salt if salt is not None else os.urandom(16)
    sender_point = sender.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    shared = sender.exchange(ec.ECDH(), receiver)
    # RFC 8291, section 3.4; each HKDF step yields one block, so it is one HMAC (RFC 5869).
    keying = _derived(secret, shared, b"WebPush: info\0" + receiver_point + sender_point)
    key = _derived(salt, keying, b"Content-Encoding: aes128gcm\0")[:16]
    nonce = _derived(salt, keying, b"Content-Encoding: nonce\0")[:12]
    head = salt + RECORD_SIZE.to_bytes(4, "big") + bytes([len(sender_point)]) + sender_point
    # 2 marks the last record (RFC 8188, section 2)
    return head + AESGCM(key).encrypt(nonce, plain + b"\x02", None)


def _derived(salt: bytes, keying: bytes, info: bytes) -> bytes:
    pseudo_random = hmac.digest(salt, keying, hashlib.sha256)
    return hmac.digest(pseudo_random, info + b"\x01", hashlib.sha256)


class Signer:
    """This server's key for push services, made at first use and kept where only its user can read it."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._key: EllipticCurvePrivateKey | None = None

    @property
    def public_key(self) -> str:
        """What a browser is given as `applicationServerKey`: the point in 65 bytes, encoded."""
        from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

        point = self._private().public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
        return encoded(point)

    def authorization(self, audience: str, contact: str, now: datetime) -> str:
        """Return the header by which a push service knows who sends (RFC 8292, section 3).

        Parameters
        ----------
        audience
            Origin of the push service.
        contact
            `mailto:` or `https:` address of whoever runs this server; left out when empty.
        """
        from cryptography.hazmat.primitives.asymmetric.ec import ECDSA
        from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
        from cryptography.hazmat.primitives.hashes import SHA256

        claims: dict[str, str | int] = {"aud": audience, "exp": int((now + TOKEN_HOLDS).timestamp())}
        if contact:
            claims["sub"] = contact
        parts = ({"typ": "JWT", "alg": "ES256"}, claims)
        signed = ".".join(encoded(json.dumps(part, separators=(",", ":")).encode()) for part in parts)
        r, s = decode_dss_signature(self._private().sign(signed.encode(), ECDSA(SHA256())))
        signature = encoded(r.to_bytes(32, "big") + s.to_bytes(32, "big"))
        return f"vapid t={signed}.{signature}, k={self.public_key}"

    def _private(self) -> EllipticCurvePrivateKey:
        if self._key is None:
            from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
            from cryptography.hazmat.primitives.serialization import load_pem_private_key

            key = load_pem_private_key(secret_once(self._file, _new_key).encode(), None)
            if not isinstance(key, EllipticCurvePrivateKey):
                raise ValueError(
                    f"{self._file} holds another kind of key: remove it, and allow notices anew."
                )
            self._key = key
        return self._key


def _new_key() -> str:
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    key = ec.generate_private_key(ec.SECP256R1())
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()).decode()
