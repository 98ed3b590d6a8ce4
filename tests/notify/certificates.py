"""A certificate authority of our own, and a certificate for this machine."""

from __future__ import annotations

import ipaddress
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import NameOID


def make(folder: Path) -> tuple[Path, Path, Path]:
    """Write (authority, certificate, key) as PEM files."""
    now = datetime.now(UTC)
    authority, leaf = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Tests")])

    def begin(key: ec.EllipticCurvePrivateKey, ca: bool) -> x509.CertificateBuilder:
        name = who if ca else x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "127.0.0.1")])
        return (
            x509.CertificateBuilder()
            .subject_name(name)
            .issuer_name(who)
            .public_key(key.public_key())
            .serial_number(x509.random_serial_number())
            .not_valid_before(now - timedelta(days=1))
            .not_valid_after(now + timedelta(days=2))
            .add_extension(x509.BasicConstraints(ca, None), critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
            .add_extension(
                x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.public_key()), critical=False
            )
        )

    names = x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))])
    root = begin(authority, True).sign(authority, hashes.SHA256())
    own = begin(leaf, False).add_extension(names, critical=False).sign(authority, hashes.SHA256())
    files = (folder / "authority.pem", folder / "certificate.pem", folder / "key.pem")
    files[0].write_bytes(root.public_bytes(Encoding.PEM))
    files[1].write_bytes(own.public_bytes(Encoding.PEM))
    files[2].write_bytes(leaf.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    return files
