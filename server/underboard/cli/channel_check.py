"""What `doctor` says about the ways by which warnings leave: which is dead, and what mends it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Final

from underboard.cli.doctor import Finding

if TYPE_CHECKING:
    from underboard.config import Settings
    from underboard.store.targets import Standing

ABOUT: Final = "channels"
LATE: Final = timedelta(minutes=15)
"""A message that is due is sent within a minute by a server that runs."""


def channels(settings: Settings, found: Sequence[Standing], late: datetime | None) -> Iterator[Finding]:
    """Say how warnings leave this installation.

    Parameters
    ----------
    found
        The targets of all plots.
    late
        Since when the oldest message that is due waits.
    """
    broken = [_broken(one) for one in found if one.state in ("failing", "dead")]
    yield from broken
    now = datetime.now(UTC)
    if late is not None and now - late > LATE:
        minutes = int((now - late).total_seconds() // 60)
        words = (
            f"a message waits since {minutes} minutes: start `underboard serve`, with the setting jobs on."
        )
        yield Finding(ABOUT, "trouble", words)
        broken.append(Finding(ABOUT, "trouble", words))
    if any(one.channel == "email" and one.state != "stopped" for one in found) or settings.mail_host:
        yield _mail(settings)
    if any(one.channel == "push" for one in found):
        yield from _push(settings)
    if not broken:
        yield Finding(ABOUT, "ok", _all_well(found))


def _broken(one: Standing) -> Finding:
    kind = "notices on" if one.channel == "push" else "mails to"
    since = one.failing_since or one.made_at
    level = "trouble" if one.state == "dead" else "note"
    return Finding(ABOUT, level, f"{kind} {one.label} fail since {since:%Y-%m-%d %H:%M} UTC: {one.words}")


def _mail(settings: Settings) -> Finding:
    """Try whether the mail server takes us; nothing is sent."""
    from underboard.notify.mail import MailChannel

    outcome = MailChannel.of(settings).check()
    if outcome.kind == "ok":
        return Finding("mail server", "ok", f"{settings.mail_host} takes our mails")
    return Finding("mail server", "trouble", outcome.words)


def _push(settings: Settings) -> Iterator[Finding]:
    from underboard.notify.push import contact_of

    if not contact_of(settings):
        words = "set push_contact to your mail address: some push services refuse notices without one."
        yield Finding("notices", "note", words)


def _all_well(found: Sequence[Standing]) -> str:
    phones = sum(one.channel == "push" for one in found)
    addresses = sum(one.channel == "email" and one.state != "stopped" for one in found)
    if not phones and not addresses:
        return "warnings are shown in the app alone; Sync on a phone adds notices and mails."
    return f"{phones} phone{'' if phones == 1 else 's'} and {addresses} mail address{'' if addresses == 1 else 'es'}"
