"""A network of its own, where this machine has an address that is not loopback: nothing sent there leaves it."""

from __future__ import annotations

import fcntl
import os
import socket
import struct
from collections.abc import Sequence

ADDRESS = "198.51.100.7"
"""Of TEST-NET-2 (RFC 5737), which no machine has."""
SET_FLAGS, SET_ADDRESS, SET_MASK, UP = 0x8914, 0x8916, 0x891C, 1  # netdevice(7)


def apart(command: Sequence[str]) -> list[str]:
    """Return the command that runs `command` in a network of its own: root may, and elsewhere who may be root in a
    namespace."""
    return ["unshare", "--net", *([] if os.geteuid() == 0 else ["--map-root-user"]), "--", *command]


def take_address() -> None:
    """Wake the loopback device and give it `ADDRESS`, as `ip address add` does, which not every machine has.

    Only in a network of its own, which has no other device.
    """
    assert socket.if_nameindex() == [(1, "lo")], "this is the machine's own network"
    _ask(SET_FLAGS, struct.pack("16sh14x", b"lo", UP))
    for request, number in ((SET_ADDRESS, ADDRESS), (SET_MASK, "255.255.255.255")):
        _ask(request, struct.pack("16sHH4s8x", b"lo:tests", socket.AF_INET, 0, socket.inet_aton(number)))


def _ask(request: int, words: bytes) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as device:
        fcntl.ioctl(device, request, words)
