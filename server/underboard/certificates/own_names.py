"""What this machine is called on the home network, as far as it can tell by itself."""

from __future__ import annotations

import contextlib
import socket
from ipaddress import IPv4Address, ip_address, ip_network
from typing import Final

from underboard.certificates.bounds import Address, Network, is_private, name_of
from underboard.core.errors import CertificateFault

HERE_NAMES: Final = ("localhost",)
HERE_ADDRESSES: Final[tuple[Address, ...]] = (ip_address("127.0.0.1"), ip_address("::1"))

# One address in each private range: the system names the address of ours that it would speak from. Nothing is sent.
_TOWARDS: Final = ("10.255.255.254", "172.31.255.254", "192.168.255.254", "100.127.255.254", "fdff::1")


def found_names() -> tuple[str, ...]:
    """The host's own name, and the one by which phones find it with no name server (mDNS, RFC 6762)."""
    names = []
    with contextlib.suppress(CertificateFault):
        host = name_of(socket.gethostname())
        if host != "localhost":
            short = host.split(".")[0]
            names = [f"{short}.local", host]
    return tuple(dict.fromkeys(names))


def found_addresses() -> tuple[Address, ...]:
    """This machine's private addresses, loopback left out."""
    found: list[Address] = []
    for target in _TOWARDS:
        family = socket.AF_INET6 if ":" in target else socket.AF_INET
        with contextlib.suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((target, 9))
            found.append(ip_address(probe.getsockname()[0]))
    return tuple(dict.fromkeys(one for one in found if is_private(one) and not one.is_loopback))


def range_around(address: Address) -> Network:
    """The part of the network in which a router would give this machine its next address."""
    if address.is_loopback:
        return ip_network(address)
    return ip_network((address, 24 if isinstance(address, IPv4Address) else 64), strict=False)
