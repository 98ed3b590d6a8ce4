"""A key locked by a passphrase as the age format says (C2SP age-encryption.org/v1), written from its text.

The library chooses how slow a passphrase is to try, seconds as a rule; here it is cheap, so that tests need not wait.
That the library opens it also shows that what we lock by the library is the published format.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import os

import pyrage
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from underboard.store.backup.sealing import SealingKey

LOG_N = 10


def cheap_key(passphrase: str) -> SealingKey:
    identity = str(pyrage.x25519.Identity.generate())
    return SealingKey(identity, lock(f"{identity}\n".encode(), passphrase))


def lock(content: bytes, passphrase: str) -> bytes:
    """Encrypt up to 64 KiB (one chunk) for one scrypt recipient."""
    file_key, salt, nonce = os.urandom(16), os.urandom(16), os.urandom(16)
    wrap = hashlib.scrypt(
        passphrase.encode(), salt=b"age-encryption.org/v1/scrypt" + salt, n=1 << LOG_N, r=8, p=1, dklen=32
    )
    body = ChaCha20Poly1305(wrap).encrypt(bytes(12), file_key, None)
    head = f"age-encryption.org/v1\n-> scrypt {_b64(salt)} {LOG_N}\n{_b64(body)}\n---".encode()
    mac = hmac.new(_derived(file_key, b"", b"header"), head, hashlib.sha256).digest()
    last_chunk = bytes(11) + b"\x01"
    payload = ChaCha20Poly1305(_derived(file_key, nonce, b"payload")).encrypt(last_chunk, content, None)
    return head + f" {_b64(mac)}\n".encode() + nonce + payload


def _derived(key: bytes, salt: bytes, info: bytes) -> bytes:
    return HKDF(SHA256(), 32, salt, info).derive(key)


def _b64(content: bytes) -> str:
    return base64.b64encode(content).decode().rstrip("=")
