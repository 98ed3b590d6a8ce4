"""Web Push (RFC 8030): one notice on a phone whose browser is closed.

The message says how many warnings there are and nothing about the plot: what stands in them is fetched by the
phone from its own server. Push services see an address, a size and a time.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import socket
import ssl
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import Final

from underboard.config import Settings
from underboard.notify.port import Message, Outcome, Target
from underboard.notify.push_hosts import Place, PushHosts, RefusedAddress
from underboard.notify.push_secrets import BadKeys, Signer, encrypt

TIMEOUT: Final = 10.0  # seconds for each of connecting, sending and answering
LONGEST_TTL: Final = 28 * 24 * 3600  # seconds; what services keep at most
UNREACHED: Final = "The push service can't be reached: is this server connected to the internet?"


@dataclass(frozen=True)
class PushChannel:
    """Sends notices to the push services of the phones' browsers."""

    signer: Signer
    hosts: PushHosts
    contact: str = ""

    @classmethod
    def of(cls, settings: Settings) -> PushChannel:
        return cls(Signer(settings.push_key_file), PushHosts.of(settings), contact_of(settings))

    def send(self, message: Message, target: Target) -> Outcome:
        """Hand one message to the push service of a phone."""
        address = target.address
        try:
            place = self.hosts.place(address["endpoint"])
            body = b"" if message.bare else encrypt(payload(message), address["p256dh"], address["auth"])
        except (RefusedAddress, BadKeys) as fault:
            return Outcome("refused", str(fault))
        except OSError:
            return Outcome("retry", UNREACHED)
        return _post(place, self._headers(message, place, body), body)

    def _headers(self, message: Message, place: Place, body: bytes) -> dict[str, str]:
        left = int((message.expires_at - message.sent_at).total_seconds())
        headers = {
            "Authorization": self.signer.authorization(place.origin, self.contact, message.sent_at),
            "TTL": str(max(0, min(left, LONGEST_TTL))),
            "Topic": message.id[:32],  # a repeat takes the place of the first (RFC 8030, section 5.4)
            "Urgency": "high" if message.pressing else "normal",
            "Content-Length": str(len(body)),
        }
        if body:
            headers |= {"Content-Encoding": "aes128gcm", "Content-Type": "application/octet-stream"}
        return headers


def payload(message: Message) -> bytes:
    """What the phone's worker reads: how many warnings, when, and the tag that a repeat shares."""
    facts = {
        "n": len(message.notices),
        "at": message.sent_at.astimezone(UTC).isoformat(timespec="seconds"),
        "tag": message.id,
    }
    return json.dumps(facts, separators=(",", ":")).encode()


def contact_of(settings: Settings) -> str:
    """Return the address that push services may write to (RFC 8292, section 2.1), or nothing."""
    contact = settings.push_contact.strip()
    if contact:
        return contact if contact.startswith(("mailto:", "https:")) else f"mailto:{contact}"
    if settings.mail_from:
        return f"mailto:{settings.mail_from}"
    return settings.public_url if settings.public_url.startswith("https:") else ""


def _post(place: Place, headers: dict[str, str], body: bytes) -> Outcome:
    on_its_way = False
    with contextlib.closing(_Connection(place)) as connection:
        try:
            connection.connect()
            on_its_way = True
            connection.request("POST", place.path, body, headers)
            answer = connection.getresponse()
        except (OSError, http.client.HTTPException):
            return Outcome("retry", UNREACHED, maybe_sent=on_its_way)
        return outcome_of(answer.status, answer.getheader("Retry-After"))


def outcome_of(status: int, retry_after: str | None, now: datetime | None = None) -> Outcome:
    """What an answer means (RFC 8030, sections 5 and 7.3; RFC 9110 for the rest)."""
    if 200 <= status < 300:
        return Outcome("ok")
    if status in (404, 410):
        return Outcome("gone", "The push service no longer knows this phone: allow notices again on it.")
    if status == 413:
        return Outcome("too_large", "The push service takes no message of that size.")
    if status == 429 or status >= 500:
        words = "asks us to wait" if status == 429 else f"is in trouble (it answered {status})"
        return Outcome("retry", f"The push service {words}; it is tried again.", _seconds(retry_after, now))
    if status in (401, 403):
        return Outcome(
            "refused",
            f"The push service refuses this server's key ({status}): allow notices again on the phone.",
        )
    return Outcome("refused", f"The push service refuses the notice (it answered {status}).")


def _seconds(retry_after: str | None, now: datetime | None) -> float | None:
    """Retry-After in seconds, or as a date (RFC 9110, section 10.2.3)."""
    if retry_after is None:
        return None
    if retry_after.strip().isdigit():
        return float(retry_after)
    try:
        moment = parsedate_to_datetime(retry_after)
    except ValueError:
        return None
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=UTC)
    return max(0.0, (moment - (now or datetime.now(UTC))).total_seconds())


class _Connection(http.client.HTTPConnection):
    """Connects to the addresses that were checked, whatever the name leads to a moment later. Follows nothing."""

    def __init__(self, place: Place) -> None:
        self.default_port = 443 if place.scheme == "https" else 80  # left out of the Host header
        super().__init__(place.host, place.port, timeout=TIMEOUT)
        self._place = place

    def connect(self) -> None:
        plain = self._reached()
        if self._place.scheme == "http":
            self.sock = plain
            return
        try:
            self.sock = ssl.create_default_context().wrap_socket(plain, server_hostname=self._place.host)
        except BaseException:
            plain.close()
            raise

    def _reached(self) -> socket.socket:
        """Connect to the first address that takes us: many homes have names but no way for IPv6."""
        *others, last = self._place.ips
        for ip in others:
            with contextlib.suppress(OSError):
                return socket.create_connection((ip, self._place.port), timeout=TIMEOUT)
        return socket.create_connection((last, self._place.port), timeout=TIMEOUT)
