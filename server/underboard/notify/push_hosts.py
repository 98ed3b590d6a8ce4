"""Which push services may be spoken to. The address comes from a phone, so it could be anything: a door to the
home network if it were simply called.

OWASP, "Server-Side Request Forgery Prevention": a list of allowed hosts, one scheme, no redirects, and a check
of the address that the name leads to.
"""

from __future__ import annotations

import re
import socket
from dataclasses import dataclass
from ipaddress import ip_address
from typing import Final
from urllib.parse import SplitResult, urlsplit

from underboard.config import Settings

# The services behind the browsers' own push; a leading dot means any host below that name.
KNOWN: Final = (
    "fcm.googleapis.com",
    ".push.services.mozilla.com",
    ".push.apple.com",
    ".notify.windows.com",
)
LONGEST: Final = 2048
_PLAIN_TEXT: Final = re.compile(r"[!-~]+")
_LOOPBACK: Final = frozenset({"127.0.0.1", "::1", "localhost"})


class RefusedAddress(Exception):
    """An address that is not called; the text is one plain sentence."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a push goes: parts of its address, and the IP addresses to connect to, in the order to try."""

    scheme: str
    host: str
    port: int
    path: str
    ips: tuple[str, ...]

    @property
    def origin(self) -> str:
        """Scheme, host and port if it is not the usual one (RFC 6454), as RFC 8292 wants it in `aud`."""
        usual = {"https": 443, "http": 80}[self.scheme]
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{self.scheme}://{host}" + ("" if self.port == usual else f":{self.port}")


@dataclass(frozen=True, slots=True)
class PushHosts:
    """The rule. `extra` are host or host:port that the settings name; those may lie in the home network."""

    extra: frozenset[str] = frozenset()
    plain_loopback: bool = False

    @classmethod
    def of(cls, settings: Settings) -> PushHosts:
        names = (name.strip().lower() for name in settings.push_hosts.split(","))
        return cls(frozenset(name for name in names if name), settings.push_plain_loopback)

    def check(self, endpoint: str) -> SplitResult:
        """Take an address apart.

        Raises
        ------
        RefusedAddress
            Not an address of a push service that may be called.
        """
        try:
            parts = urlsplit(endpoint)
            host, port = (parts.hostname or "").lower(), parts.port
        except ValueError:
            raise RefusedAddress("That is not the address of a push service.") from None
        if len(endpoint) > LONGEST or not _PLAIN_TEXT.fullmatch(endpoint) or not host:
            raise RefusedAddress("That is not the address of a push service.")
        if parts.username is not None or parts.password is not None or parts.fragment:
            raise RefusedAddress("The address of a push service holds no name and no fragment.")
        if self.plain_loopback and host in _LOOPBACK and parts.scheme in ("http", "https"):
            return parts
        if parts.scheme != "https":
            raise RefusedAddress("The address of a push service begins with https.")
        if not self._is_named(host, port) and not (port in (None, 443) and is_known(host)):
            raise RefusedAddress(
                f"{host} is not a push service known here; if it is your own, add it to the setting push_hosts."
            )
        return parts

    def place(self, endpoint: str) -> Place:
        """Look up where an address leads.

        Raises
        ------
        RefusedAddress
            Not to be called, by its name or by the place its name leads to.
        OSError
            The name can't be looked up now.
        """
        parts = self.check(endpoint)
        host = (parts.hostname or "").lower()
        port = parts.port or (443 if parts.scheme == "https" else 80)
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
        at_home = self._is_named(host, parts.port) or (self.plain_loopback and host in _LOOPBACK)
        addresses = [str(entry[4][0]) for entry in found if at_home or _is_public(str(entry[4][0]))]
        if not addresses:
            raise RefusedAddress(f"{host} leads to an address inside a private network: it is not called.")
        path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
        return Place(parts.scheme, host, port, path, tuple(dict.fromkeys(addresses)))

    def _is_named(self, host: str, port: int | None) -> bool:
        return host in self.extra or f"{host}:{port or 443}" in self.extra


def is_known(host: str) -> bool:
    """Whether a host belongs to a browser's push service."""
    return any(host.endswith(name) if name.startswith(".") else host == name for name in KNOWN)


def _is_public(address: str) -> bool:
    ip = ip_address(address.partition("%")[0])
    return ip.is_global and not ip.is_multicast
