"""Keys and certificates, made with `cryptography`; RFC 5280 says what stands in them.

Two steps: the root is what phones install; a second authority below it signs. Both carry the same bounds, because
RFC 5280 (6.1) leaves it open whether a checker heeds what stands in a root, and asks every checker to heed it one
step further down. The root's key is thrown away as soon as it has signed, so that nobody can get round that.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import ip_address
from typing import Final

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from underboard.certificates.bounds import Address, Bounds
from underboard.core.errors import CertificateFault

DAYS_AT_MOST: Final = 397
AUTHORITY_LASTS: Final = timedelta(days=3650)
CLOCKS_DIFFER: Final = timedelta(days=1)
"""Certificates begin a day back, for phones whose clock is behind."""


@dataclass(frozen=True)
class Authority:
    """What signs: its key, its certificate, and the root that phones trust."""

    key: ec.EllipticCurvePrivateKey
    issuing: x509.Certificate
    root: x509.Certificate

    @property
    def bounds(self) -> Bounds:
        return Bounds.of(self.issuing)

    def pem(self) -> bytes:
        """All three in one file, so that they can only be replaced together."""
        return (
            key_pem(self.key) + self.issuing.public_bytes(Encoding.PEM) + self.root.public_bytes(Encoding.PEM)
        )


def make_authority(bounds: Bounds, now: datetime) -> Authority:
    """A fresh authority for one household, good for `bounds` and for nothing else."""
    if not bounds.names and not bounds.networks:
        raise CertificateFault("An authority must be good for something: give a name or an address.")
    mark = secrets.token_hex(2)
    root_key, issuing_key = _new_key(), _new_key()
    root_name = _name(f"Underboard of this household ({mark})")
    issuing_name = _name(f"Underboard of this household ({mark}), signing")
    root = _authority(root_name, root_name, root_key, now, bounds, steps_below=1).sign(
        root_key, hashes.SHA256()
    )
    issuing = (
        _authority(issuing_name, root_name, issuing_key, now, bounds, steps_below=0)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_signed_by(root), critical=False)
        .sign(root_key, hashes.SHA256())
    )
    return Authority(issuing_key, issuing, root)


def issue(
    authority: Authority,
    names: Sequence[str],
    addresses: Sequence[Address],
    now: datetime,
    days: int = DAYS_AT_MOST,
) -> bytes:
    """A server certificate with its own new key: key, certificate and signing authority as PEM.

    Raises
    ------
    CertificateFault : a name outside the bounds, nothing to certify, more days than browsers take.
    """
    outside = authority.bounds.outside(names, addresses)
    if outside:
        raise CertificateFault(
            f"{', '.join(outside)}: outside what phones trust this household's authority for. A new authority "
            "(--new-authority) can take it in; then every phone must install that one."
        )
    if not names and not addresses:
        raise CertificateFault("A certificate needs a name or an address: give one with --name or --address.")
    if not 1 <= days <= DAYS_AT_MOST:
        raise CertificateFault(f"A certificate lasts 1 to {DAYS_AT_MOST} days; browsers refuse longer ones.")
    key = _new_key()
    listed = [x509.DNSName(name) for name in names] + [x509.IPAddress(one) for one in addresses]
    begins = now - CLOCKS_DIFFER
    ends = min(begins + timedelta(days=days), authority.issuing.not_valid_after_utc)
    certificate = (
        _begin(_name((*names, *map(str, addresses))[0]), authority.issuing.subject, key, begins, ends)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(listed), critical=False)
        .add_extension(_signed_by(authority.issuing), critical=False)
        .sign(authority.key, hashes.SHA256())
    )
    return (
        key_pem(key) + certificate.public_bytes(Encoding.PEM) + authority.issuing.public_bytes(Encoding.PEM)
    )


def names_in(certificate: x509.Certificate) -> tuple[tuple[str, ...], tuple[Address, ...]]:
    """The DNS names and the addresses that a certificate is for."""
    try:
        listed = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return (), ()
    addresses = (ip_address(str(one)) for one in listed.get_values_for_type(x509.IPAddress))
    return tuple(listed.get_values_for_type(x509.DNSName)), tuple(addresses)


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 of a certificate as phones show it: pairs of digits."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def key_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    """A private key as PKCS #8, which is what the server process reads."""
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def _new_key() -> ec.EllipticCurvePrivateKey:
    return ec.generate_private_key(ec.SECP256R1())


def _name(common: str) -> x509.Name:
    return x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Underboard"),
            x509.NameAttribute(NameOID.COMMON_NAME, common[:64]),
        ]
    )


def _begin(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, begins: datetime, ends: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(ends)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _authority(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    now: datetime,
    bounds: Bounds,
    *,
    steps_below: int,
) -> x509.CertificateBuilder:
    return (
        _begin(subject, issuer, key, now - CLOCKS_DIFFER, now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=steps_below), critical=True)
        .add_extension(_usage(key_cert_sign=True, crl_sign=True), critical=True)
        .add_extension(bounds.extension(), critical=True)
    )


def _usage(**wanted: bool) -> x509.KeyUsage:
    no = dict.fromkeys(
        (
            "digital_signature", "content_commitment", "key_encipherment", "data_encipherment",
            "key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only",
        ),
        False,
    )  # fmt: skip
    return x509.KeyUsage(**{**no, **wanted})


def _signed_by(above: x509.Certificate) -> x509.AuthorityKeyIdentifier:
    mark = above.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    return x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(mark)
