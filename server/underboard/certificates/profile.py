"""What an iPhone or iPad installs: a configuration profile that holds the root and nothing else."""

from __future__ import annotations

import plistlib
import uuid
from typing import Final

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import NameOID

MEDIA_TYPE: Final = "application/x-apple-aspen-config"


def profile_of(root: x509.Certificate) -> bytes:
    """A profile with one certificate in it (Apple, Configuration Profile Reference: com.apple.security.root)."""
    named = root.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    name = str(named[0].value) if named else "Underboard"
    der = root.public_bytes(Encoding.DER)
    # the same root gives the same ids, so that installing it twice replaces it
    inner, outer = (
        str(uuid.uuid5(uuid.NAMESPACE_OID, f"{part} {der.hex()}")).upper() for part in ("root", "all")
    )
    return plistlib.dumps(
        {
            "PayloadContent": [
                {
                    "PayloadCertificateFileName": "underboard-ca.cer",
                    "PayloadContent": der,
                    "PayloadDescription": "Lets this device trust the Underboard server of your household.",
                    "PayloadDisplayName": name,
                    "PayloadIdentifier": f"underboard.root.{inner}",
                    "PayloadType": "com.apple.security.root",
                    "PayloadUUID": inner,
                    "PayloadVersion": 1,
                }
            ],
            "PayloadDescription": "Good for the names and addresses of your own server only.",
            "PayloadDisplayName": name,
            "PayloadIdentifier": f"underboard.{outer}",
            "PayloadRemovalDisallowed": False,
            "PayloadType": "Configuration",
            "PayloadUUID": outer,
            "PayloadVersion": 1,
        }
    )
