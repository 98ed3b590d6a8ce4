"""A TLS handshake in memory: OpenSSL (by Python's `ssl`) judges what we made, as a phone would."""

from __future__ import annotations

import ssl
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding


def judge(server_pem: bytes, trusted: x509.Certificate, host: str, folder: Path) -> str:
    """Connect to `host`, trusting one authority. Return "" when the certificate is taken, else the refusal."""
    file = folder / "judged.pem"
    file.write_bytes(server_pem)
    theirs = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    theirs.load_cert_chain(file)
    ours = ssl.create_default_context(cadata=trusted.public_bytes(Encoding.PEM).decode())
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    server = theirs.wrap_bio(to_server, to_client, server_side=True)
    client = ours.wrap_bio(to_client, to_server, server_hostname=host)
    for _ in range(6):
        for side in (client, server):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
            except ssl.SSLCertVerificationError as refusal:
                return refusal.verify_message
    assert client.version() in ("TLSv1.2", "TLSv1.3")
    return ""
