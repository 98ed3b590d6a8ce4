"""A certificate that was made elsewhere, looked at before the server shows it to anybody."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
)

from underboard.certificates.authority import names_in
from underboard.core.errors import CertificateFault

SMALLEST_RSA = 2048


def read_pair(certificate: Path, key: Path, now: datetime) -> str:
    """Key (as PKCS #8) and chain in one PEM text.

    Raises
    ------
    CertificateFault : unreadable, not belonging together, over, without names, or out of order.
    """
    chain = _chain(certificate)
    secret = _key(key)
    leaf = chain[0]
    if _plain(secret.public_key()) != _plain(leaf.public_key()):
        raise CertificateFault(f"The key {key} does not belong to the certificate {certificate}.")
    if leaf.not_valid_after_utc <= now:
        raise CertificateFault(f"The certificate {certificate} ended on {leaf.not_valid_after_utc:%Y-%m-%d}.")
    if leaf.not_valid_before_utc > now:
        raise CertificateFault(
            f"The certificate {certificate} begins on {leaf.not_valid_before_utc:%Y-%m-%d}: is the clock right?"
        )
    if not any(names_in(leaf)):
        raise CertificateFault(
            f"The certificate {certificate} names no host (subjectAltName): browsers refuse such ones."
        )
    for below, above in pairwise(chain):
        if below.issuer != above.subject:
            raise CertificateFault(
                f"The certificates in {certificate} are out of order: the server's first, then each one's signer."
            )
    text = secret.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return (text + b"".join(one.public_bytes(Encoding.PEM) for one in chain)).decode()


def _chain(file: Path) -> list[x509.Certificate]:
    try:
        return x509.load_pem_x509_certificates(file.read_bytes())
    except OSError as fault:
        raise CertificateFault(f"The certificate {file} can't be read: {fault.strerror}.") from fault
    except ValueError as fault:
        raise CertificateFault(
            f"{file} holds no certificate in PEM form (-----BEGIN CERTIFICATE-----)."
        ) from fault


def _key(file: Path) -> ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey:
    try:
        key = load_pem_private_key(file.read_bytes(), None)
    except OSError as fault:
        raise CertificateFault(f"The key {file} can't be read: {fault.strerror}.") from fault
    except TypeError as fault:
        raise CertificateFault(
            f"The key {file} asks for a passphrase: the server needs one without."
        ) from fault
    except (ValueError, UnsupportedAlgorithm) as fault:
        raise CertificateFault(f"{file} holds no private key in PEM form.") from fault
    if isinstance(key, rsa.RSAPrivateKey) and key.key_size < SMALLEST_RSA:
        raise CertificateFault(
            f"The key {file} has {key.key_size} bits; browsers want {SMALLEST_RSA} at least."
        )
    if not isinstance(key, ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey):
        raise CertificateFault(
            f"Browsers take no certificate with the kind of key in {file}: use RSA or ECDSA."
        )
    return key


def _plain(key: object) -> bytes:
    text: bytes = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)  # type: ignore[attr-defined]
    return text
