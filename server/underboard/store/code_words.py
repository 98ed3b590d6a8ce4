"""Pairing codes as people see them: their letters, and the hash that is stored in their place."""

from __future__ import annotations

import hashlib
import secrets

# No 0/O, 1/I/L, 5/S, 8/B: a code is read from a screen and typed with wet fingers.
LETTERS = "ACDEFGHJKMNPQRTUVWXYZ234679"


def fresh_code(typed: bool) -> str:
    """Return 8 letters to type (about 38 bits), else 128 bits for a QR code."""
    return "".join(secrets.choice(LETTERS) for _ in range(8)) if typed else secrets.token_urlsafe(16)


def hash_of(code: str) -> str:
    """Hash a code as typed: hyphens, spaces and case of the short form do not matter."""
    plain = code.strip()
    short = plain.replace("-", "").replace(" ", "").upper()
    if len(short) == 8:
        plain = short
    return hashlib.sha256(plain.encode()).hexdigest()
