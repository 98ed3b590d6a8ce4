"""An address of this machine by which others would reach it, on every machine that runs the tests."""

from __future__ import annotations

import fcntl
import socket
import struct
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from ipaddress import ip_address

# TEST-NET-3 (RFC 5737) and private ranges: nobody is asked, the system only says from where it would speak.
TOWARDS = ("203.0.113.1", "10.255.255.254", "192.168.255.254", "172.31.255.254")
LENT, LABEL = "10.213.97.5", b"lo:tests"
"""Given to the loopback device of a machine that has no network at all; its number is not one of 127.0.0.0/8."""
SET_FLAGS, SET_ADDRESS, SET_MASK, UP = 0x8914, 0x8916, 0x891C, 1  # netdevice(7)


@contextmanager
def address_of_this_machine() -> Iterator[str]:
    """The machine's own address; if it has none, one that is lent to it, which takes root.

    No test is left out where neither can be had: it fails, and says what is missing.
    """
    own = own_address() or (LENT if is_ours(LENT) else None)
    if own:
        yield own
        return
    try:
        lend()
    except PermissionError as fault:
        raise AssertionError(f"No address but loopback here, and only root may lend it {LENT}.") from fault
    try:
        yield LENT
    finally:
        _ask(SET_FLAGS, struct.pack("16sh14x", LABEL, 0))


def own_address() -> str | None:
    for target in TOWARDS:
        with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect((target, 9))
            address = str(probe.getsockname()[0])
            if not ip_address(address).is_loopback and is_ours(address):
                return address
    return None


def is_ours(address: str) -> bool:
    """Whether a server can listen there."""
    with socket.socket() as probe:
        try:
            probe.bind((address, 0))
        except OSError:
            return False
        return True


def lend() -> None:
    """As `ip address add LENT/32 dev lo` does, which not every machine has."""
    for request, number in ((SET_ADDRESS, LENT), (SET_MASK, "255.255.255.255")):
        words = struct.pack("16sHH4s8x", LABEL, socket.AF_INET, 0, socket.inet_aton(number))
        _ask(request, words)
    _ask(SET_FLAGS, struct.pack("16sh14x", b"lo", UP))


def _ask(request: int, words: bytes) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as device:
        fcntl.ioctl(device, request, words)
