"""What `doctor` says about https: is there a certificate, how long is it good, does it fit this machine?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Final

from underboard.cli.doctor import Finding

if TYPE_CHECKING:
    from underboard.certificates.keeping import Keeper, Shown
    from underboard.config import Settings

ABOUT: Final = "https"
LATE: Final = timedelta(days=20)
"""The server renews by itself when 30 days are left: with fewer than this something keeps it from doing so."""
HERE_ALONE: Final = ("127.0.0.1", "localhost", "::1")


def https(settings: Settings) -> Iterator[Finding]:
    """Say how phones reach this server, and what is wrong with that way."""
    from underboard.certificates.keeping import Keeper
    from underboard.cli.house import certificate_end, certificate_file
    from underboard.core.errors import CertificateFault

    keeper = Keeper(settings.data)
    try:
        shown = keeper.shown()
    except CertificateFault as fault:
        yield Finding(ABOUT, "trouble", str(fault))
        return
    file = certificate_file(settings)
    if shown is not None and (file is None or file == keeper.server_file):
        yield from _ours(settings, keeper, shown)
        return
    ends = certificate_end(file)
    if ends is not None:
        yield _lasting(ends, "renew it where it comes from")
    elif file is not None:
        yield Finding(ABOUT, "trouble", f"no certificate can be read from {file}.")
    else:
        words = "no certificate: phones can't work offline. Make one with `underboard certificate`."
        level = "ok" if settings.host in HERE_ALONE else "note"
        yield Finding(ABOUT, level, "not set up; this machine needs none" if level == "ok" else words)


def _ours(settings: Settings, keeper: Keeper, shown: Shown) -> Iterator[Finding]:
    from underboard.certificates.own_names import found_addresses

    if not settings.https:
        yield Finding(ABOUT, "note", "switched off by the setting https, although there is a certificate.")
        return
    mend = (
        "run `underboard certificate --renew`"
        if shown.own
        else "renew it where it comes from, then --bring it"
    )
    yield _lasting(shown.ends, mend)
    where = ", ".join(f"https://{host}:{settings.https_port}" for host in shown.hosts())
    yield Finding(ABOUT, "ok", f"phones reach it by {where}" if where else "for this machine alone")
    strange = [str(one) for one in found_addresses() if one not in shown.addresses]
    authority = keeper.authority() if shown.own else None
    outside = (
        authority.bounds.outside((), [one for one in found_addresses() if str(one) in strange])
        if authority
        else []
    )
    if outside:
        words = (
            f"this machine is {', '.join(outside)} now, which phones do not trust: give it its old address in the "
            "router, use a name, or run `underboard certificate --new-authority` and install that on every phone."
        )
        yield Finding(ABOUT, "note", words)
    elif strange and shown.own:
        yield Finding(
            ABOUT, "note", f"this machine is {', '.join(strange)} now: the server takes that in by itself."
        )


def _lasting(ends: datetime, mend: str) -> Finding:
    left = ends - datetime.now(UTC)
    if left <= timedelta(0):
        return Finding(
            ABOUT, "trouble", f"the certificate ended on {ends:%Y-%m-%d}, phones refuse to sync: {mend}."
        )
    words = f"the certificate is good until {ends:%Y-%m-%d}, {left.days} days"
    if left < LATE:
        return Finding(ABOUT, "trouble", f"{words}: {mend}.")
    return Finding(ABOUT, "ok", words)
