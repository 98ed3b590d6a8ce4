"""What stands in a mail: plain text for every program, and HTML without pictures, scripts or outside addresses."""

from __future__ import annotations

import re
from datetime import datetime
from html import escape
from typing import Final

from underboard.core.warnings.timing import zone_of
from underboard.notify.port import Message, Notice

WHY: Final = "Why"
ADVICE: Final = "Usual"
CAUTION: Final = "Take care"
TRIAL: Final = "A trial: warnings from Underboard arrive here."
# Control characters and line breaks would let a name write headers of its own.
_CONTROL: Final = re.compile(r"[\x00-\x1f\x7f\u2028\u2029]+")
_WIDEST: Final = 69  # letters of a subject: 78 for the line (RFC 5322, section 2.1.1) without "Subject: "


def link_of_stop(base: str, stop_token: str) -> str:
    """Return the address that stops mails to this reader."""
    return f"{base}/stop/{stop_token}"


def subject(message: Message) -> str:
    """Say the worst in one line, and how many more there are."""
    first = one_line(message.notices[0].headline) if message.notices else TRIAL
    more = len(message.notices) - 1
    tail = f" (+{more} more)" if more > 0 else ""
    plot = one_line(message.plot_name or "")[: _WIDEST // 3]
    head = f"{plot}: " if plot else ""
    room = _WIDEST - len(head) - len(tail)
    if len(first) > room:
        first = first[: max(20, room) - 1].rsplit(" ", 1)[0]
        whole = first.rsplit("(", 1)[0].rstrip() if first.count("(") > first.count(")") else first
        first = f"{whole or first}…"
    return head + first + tail


def plain(message: Message, base: str, stop: str) -> str:
    """The mail as plain text."""
    parts = [_plain_notice(notice, message.time_zone) for notice in message.notices] or [TRIAL]
    parts.append(f"All warnings, and what you did about them: {base}/\nNo more mails to this address: {stop}")
    return "\n\n".join(parts) + "\n"


def html(message: Message, base: str, stop: str) -> str:
    """The same as HTML."""
    title = escape(subject(message))
    notices = (
        "".join(_html_notice(notice, message.time_zone) for notice in message.notices) or f"<p>{TRIAL}</p>"
    )
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title></head>'
        '<body style="font-family:sans-serif;line-height:1.4;max-width:40em">'
        f'{notices}<hr><p><a href="{escape(base)}/">All warnings, and what you did about them</a></p>'
        f'<p><a href="{escape(stop)}">No more mails to this address</a></p></body></html>'
    )


def window(notice: Notice, time_zone: str | None) -> str:
    """Say from when until when, by the plot's clock: "Tue 12 May 21:00 to Wed 13 May 06:00"."""
    start, end = _clock(notice.window_start, time_zone), _clock(notice.window_end, time_zone)
    if start and end:
        same_day = start[:-6] == end[:-6]
        return f"{start} to {end[-5:] if same_day else end}"
    return start or (f"until {end}" if end else "")


def one_line(text: str) -> str:
    """Text without line breaks and control characters."""
    return _CONTROL.sub(" ", text).strip()


def _clock(moment: datetime | None, time_zone: str | None) -> str:
    if moment is None:
        return ""
    local = moment.astimezone(zone_of(time_zone))
    return f"{local:%a} {local.day} {local:%b %H:%M}"


def _labelled(notice: Notice) -> list[tuple[str, str]]:
    rows = ((WHY, notice.why), (ADVICE, notice.advice), (CAUTION, notice.caution))
    return [(label, one_line(text)) for label, text in rows if text.strip()]


def _headline(notice: Notice) -> str:
    return ("Worse now: " if notice.worse else "") + one_line(notice.headline)


def _plain_notice(notice: Notice, time_zone: str | None) -> str:
    lines = [_headline(notice), window(notice, time_zone)]
    lines += [f"{label}: {text}" for label, text in _labelled(notice)]
    return "\n".join(line for line in lines if line)


def _html_notice(notice: Notice, time_zone: str | None) -> str:
    rows = "".join(f"<p><b>{label}:</b> {escape(text)}</p>" for label, text in _labelled(notice))
    return f"<h2>{escape(_headline(notice))}</h2><p>{escape(window(notice, time_zone))}</p>{rows}"
