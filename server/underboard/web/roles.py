"""Who may do what. The one table of rights; views name an act, never a role."""

from __future__ import annotations

from enum import Enum
from typing import Final


class Act(Enum):
    """What a request wants to do to a plot."""

    READ = "read"  # pull, look at findings and photos
    RECORD = "record"  # push, send readings and photos
    MANAGE = "manage"  # devices of others, codes for new ones


ROLES: Final = ("owner", "helper", "reader")

_RIGHTS: Final = {
    "owner": frozenset(Act),
    "helper": frozenset({Act.READ, Act.RECORD}),
    "reader": frozenset({Act.READ}),
}


def may(role: str, act: Act) -> bool:
    """Whether a device with `role` may do `act`; an unknown role may nothing."""
    return act in _RIGHTS.get(role, frozenset())
