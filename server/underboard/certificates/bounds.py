"""For which names and addresses an authority is good: name constraints of RFC 5280, section 4.2.1.10.

A phone that trusts the household's authority trusts it for these and for nothing else, so that whoever steals
its key can still sham no bank and no mail server.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from ipaddress import (
    IPv4Address,
    IPv4Network,
    IPv6Address,
    IPv6Network,
    ip_address,
    ip_network,
)
from typing import Final

from cryptography import x509

from underboard.core.errors import CertificateFault

Address = IPv4Address | IPv6Address
Network = IPv4Network | IPv6Network

HOUSE_RANGES: Final[tuple[Network, ...]] = tuple(
    ip_network(text)
    for text in (
        "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16",  # RFC 1918
        "100.64.0.0/10",  # RFC 6598: what home VPNs hand out
        "127.0.0.0/8", "::1/128",  # this machine
        "fc00::/7",  # RFC 4193
    )
)  # fmt: skip
_LABEL: Final = re.compile(r"(?!-)[a-z0-9_-]{1,63}(?<!-)", re.ASCII)
_EVERYTHING: Final = (ip_network("0.0.0.0/0"), ip_network("::/0"))


def name_of(text: str) -> str:
    """A DNS name in its plain form: lower case, no dot at the end, letters beyond ASCII as IDNA.

    Raises
    ------
    CertificateFault : no name, or a wildcard.
    """
    plain = text.strip().lower().rstrip(".")
    try:
        plain = plain.encode("idna").decode("ascii")
    except UnicodeError:
        plain = ""
    labels = plain.split(".")
    if not plain or len(plain) > 253 or not all(_LABEL.fullmatch(label) for label in labels):
        raise CertificateFault(f"{text!r} is no name for a machine: say one such as plot.home.arpa.")
    if labels[-1].isdigit():
        raise CertificateFault(f"{text!r} looks like an address: give it with --address.")
    return plain


def address_of(text: str) -> Address:
    """A private address.

    Raises
    ------
    CertificateFault : not an address, or one of the open internet.
    """
    try:
        address = ip_address(text.strip())
    except ValueError:
        raise CertificateFault(f"{text!r} is no address: say one such as 192.168.1.20.") from None
    if not is_private(address):
        raise CertificateFault(
            f"{address} is not a private address: give the machine a name of your own with --name, or bring a "
            "certificate of a public authority with --bring."
        )
    return address


def network_of(text: str) -> Network:
    """A private range.

    Raises
    ------
    CertificateFault : not a range, or one that reaches beyond private ones.
    """
    try:
        network = ip_network(text.strip())
    except ValueError:
        raise CertificateFault(f"{text!r} is no address range: say one such as 192.168.1.0/24.") from None
    if not any(_within(network, house) for house in HOUSE_RANGES):
        raise CertificateFault(f"{network} holds addresses that are not private: take a smaller range.")
    return network


def is_private(address: Address) -> bool:
    """Whether an address can belong to a home network, a home VPN or this machine."""
    return any(address in house for house in HOUSE_RANGES)


@dataclass(frozen=True)
class Bounds:
    """Names (each with everything below it) and ranges that an authority may vouch for."""

    names: tuple[str, ...]
    networks: tuple[Network, ...]

    def allow(self, name: str) -> bool:
        """Whether a DNS name lies within: a permitted one, or below it."""
        return any(name == one or name.endswith("." + one) for one in self.names)

    def allow_address(self, address: Address) -> bool:
        """Whether an address lies within."""
        return any(address in network for network in self.networks)

    def outside(self, names: Iterable[str], addresses: Iterable[Address]) -> list[str]:
        """What of these lies outside, as text."""
        return [name for name in names if not self.allow(name)] + [
            str(address) for address in addresses if not self.allow_address(address)
        ]

    def extension(self) -> x509.NameConstraints:
        """As RFC 5280 writes it.

        A constraint says nothing about a kind of name that it does not mention, so a kind of which nothing is
        permitted is excluded in so many words.
        """
        permitted: list[x509.GeneralName] = [x509.DNSName(name) for name in self.names]
        permitted += [x509.IPAddress(network) for network in self.networks]
        excluded: list[x509.GeneralName] = []
        if not self.names:
            excluded.append(x509.DNSName(""))
        if not self.networks:
            excluded += [x509.IPAddress(network) for network in _EVERYTHING]
        return x509.NameConstraints(permitted or None, excluded or None)

    @staticmethod
    def of(certificate: x509.Certificate) -> Bounds:
        """The bounds that stand in an authority's certificate."""
        found = certificate.extensions.get_extension_for_class(x509.NameConstraints).value
        permitted = found.permitted_subtrees or []
        return Bounds(
            tuple(one.value for one in permitted if isinstance(one, x509.DNSName)),
            tuple(one.value for one in permitted if isinstance(one, x509.IPAddress)),  # type: ignore[misc]
        )


def _within(inner: Network, outer: Network) -> bool:
    if isinstance(inner, IPv4Network) and isinstance(outer, IPv4Network):
        return inner.subnet_of(outer)
    if isinstance(inner, IPv6Network) and isinstance(outer, IPv6Network):
        return inner.subnet_of(outer)
    return False
