"""The two files in `keys/`: the authority, and the certificate that the server shows with its key.

Each file holds a key together with its certificates, so that neither can be replaced without the other: a crash
leaves the old pair or the new one. A note beside the data says where a brought certificate came from, and when a
renewal was last done with nobody's help.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Final

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import load_pem_private_key

from underboard.certificates.authority import DAYS_AT_MOST, Authority, issue, make_authority, names_in
from underboard.certificates.bounds import Address, Bounds, Network
from underboard.certificates.brought import read_pair
from underboard.core.errors import CertificateFault
from underboard.data_folder import write_secret

AUTHORITY_FILE: Final = "authority.pem"
SERVER_FILE: Final = "server_certificate.pem"
NOTE_FILE: Final = "certificate.json"
RENEW_BEFORE: Final = timedelta(days=30)
MOST_ADDRESSES: Final = 16


@dataclass(frozen=True)
class Shown:
    """The certificate that phones see. `own`: signed by the household's authority."""

    names: tuple[str, ...]
    addresses: tuple[Address, ...]
    begins: datetime
    ends: datetime
    own: bool
    serial: int

    def hosts(self) -> list[str]:
        """Names, then addresses, as they stand in a web address; those that mean "this machine" left out."""
        names = [name for name in self.names if name != "localhost"]
        addresses = [
            f"[{one}]" if one.version == 6 else str(one) for one in self.addresses if not one.is_loopback
        ]
        return names + addresses


class Keeper:
    """Makes, renews and brings in certificates of one data folder.

    Parameters
    ----------
    data : the data folder; `keys` in it must exist.
    """

    def __init__(self, data: Path) -> None:
        self.authority_file = data / "keys" / AUTHORITY_FILE
        self.server_file = data / "keys" / SERVER_FILE
        self._note_file = data / NOTE_FILE

    def authority(self) -> Authority | None:
        """The household's authority with its key, or None while there is none."""
        if not self.authority_file.is_file():
            return None
        pem = self.authority_file.read_bytes()
        key = load_pem_private_key(pem, None)
        issuing, root = _certificates(pem, self.authority_file)
        if not isinstance(key, ec.EllipticCurvePrivateKey):
            raise CertificateFault(f"{self.authority_file} holds another kind of key than Underboard makes.")
        return Authority(key, issuing, root)

    def root(self) -> x509.Certificate | None:
        """What phones install; None without an own authority, or when the server shows a brought certificate."""
        shown = self.shown()
        if shown is None or not shown.own:
            return None
        return _certificates(self.authority_file.read_bytes(), self.authority_file)[-1]

    def shown(self) -> Shown | None:
        """What the server shows; None while there is nothing to show."""
        if not self.server_file.is_file():
            return None
        leaf = _certificates(self.server_file.read_bytes(), self.server_file)[0]
        names, addresses = names_in(leaf)
        return Shown(
            names,
            addresses,
            leaf.not_valid_before_utc,
            leaf.not_valid_after_utc,
            self._is_own(leaf),
            leaf.serial_number,
        )

    def make(
        self,
        names: Sequence[str],
        addresses: Sequence[Address],
        networks: Sequence[Network],
        now: datetime,
        *,
        days: int = DAYS_AT_MOST,
        new_authority: bool = False,
    ) -> Shown:
        """Write a certificate for these; with an authority of its own if there is none yet, or one is wanted."""
        authority = None if new_authority else self.authority()
        if authority is None:
            authority = make_authority(Bounds(tuple(names), tuple(networks)), now)
            pem = issue(authority, names, addresses, now, days)  # refused before anything is replaced
            write_secret(self.authority_file, authority.pem().decode())
        else:
            pem = issue(authority, names, addresses, now, days)
        write_secret(self.server_file, pem.decode())
        self._write_note(source=None)
        shown = self.shown()
        assert shown is not None
        return shown

    def bring(self, certificate: Path, key: Path, now: datetime) -> Shown:
        """Take in a certificate of another authority. It is read again by itself when its file changes."""
        pem = read_pair(certificate, key, now)
        # The note first: a server that looks between the two takes the new one as well, and not the former back.
        self._write_note(source=[str(certificate.absolute()), str(key.absolute())])
        write_secret(self.server_file, pem)
        shown = self.shown()
        assert shown is not None
        return shown

    def renew_if_due(self, now: datetime, found: Sequence[Address] = ()) -> bool:
        """Renew when less than 30 days are left, or when this machine got another address that the authority allows.

        Return whether something was replaced. A brought certificate is read anew from where it came from.
        """
        shown = self.shown()
        if shown is None:
            return False
        due = shown.ends - now < RENEW_BEFORE
        if not shown.own:
            return self._read_again(now)
        authority = self.authority()
        if authority is None:
            return False
        fresh = [one for one in found if one not in shown.addresses and authority.bounds.allow_address(one)]
        if not due and not fresh:
            return False
        kept = [*shown.addresses, *fresh][-MOST_ADDRESSES:]
        write_secret(self.server_file, issue(authority, shown.names, kept, now).decode())
        if due:
            self._write_note(proven_at=now.isoformat())
        return True

    def is_proven(self) -> bool:
        """Whether a renewal has been done by the server itself."""
        return bool(self._note().get("proven_at"))

    def _read_again(self, now: datetime) -> bool:
        source = self._note().get("source")
        if not source:
            return False
        try:
            pem = read_pair(Path(source[0]), Path(source[1]), now)
        except CertificateFault:
            return False  # being replaced just now, or not ours to read: `doctor` says when it gets late
        if pem.strip() == self.server_file.read_text("utf-8").strip():
            return False
        write_secret(self.server_file, pem)
        self._write_note(proven_at=now.isoformat())
        return True

    def _is_own(self, leaf: x509.Certificate) -> bool:
        if not self.authority_file.is_file():
            return False
        issuing = _certificates(self.authority_file.read_bytes(), self.authority_file)[0]
        try:
            leaf.verify_directly_issued_by(issuing)
        except Exception:  # cryptography names a dozen ways in which a signature does not fit
            return False
        return True

    def _note(self) -> dict[str, Any]:
        try:
            note = json.loads(self._note_file.read_text("utf-8"))
        except (OSError, ValueError):
            return {}
        return note if isinstance(note, dict) else {}

    def _write_note(self, **changes: Any) -> None:
        write_secret(self._note_file, json.dumps({**self._note(), **changes}))


def _certificates(pem: bytes, file: Path) -> list[x509.Certificate]:
    try:
        return x509.load_pem_x509_certificates(pem)
    except ValueError as fault:
        raise CertificateFault(
            f"{file} holds no certificate that can be read: take it away and run `underboard certificate`."
        ) from fault
