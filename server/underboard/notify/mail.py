"""Warnings by mail: handed to a mail server by SMTP (RFC 5321), one mail for all that is due.

A repeat of a mail that may have arrived carries the same Message-ID, by which mail programs show it once.
"""

from __future__ import annotations

import contextlib
import smtplib
import ssl
from dataclasses import dataclass, field
from email.headerregistry import BaseHeader, HeaderRegistry, UnstructuredHeader
from email.message import EmailMessage
from email.policy import SMTP, Policy
from typing import Final

from underboard.config import Settings
from underboard.notify.mail_words import html, link_of_stop, plain, subject
from underboard.notify.port import Message, Outcome, Target
from underboard.notify.stop_links import StopLinks

TIMEOUT: Final = 20.0  # seconds for each step
NOT_SET_UP: Final = (
    "No mail server is set up: set mail_host, mail_from and the rest, then start the server again."
)


@dataclass(frozen=True)
class MailServer:
    """Which mail server takes our mails, and who we are there; see `config.Settings`."""

    host: str
    port: int
    security: str
    user: str
    password: str = field(repr=False)
    sender: str
    ca_file: str = ""

    @classmethod
    def of(cls, settings: Settings) -> MailServer | None:
        """Read it from the settings; None when mail is not set up."""
        sender = settings.mail_from or settings.mail_user
        if not settings.mail_host or "@" not in sender:
            return None
        return cls(
            settings.mail_host,
            settings.mail_port,
            settings.mail_security,
            settings.mail_user,
            settings.mail_secret,
            sender,
            settings.mail_ca,
        )

    def connect(self) -> smtplib.SMTP:
        """Connect, encrypt and say who we are.

        Raises
        ------
        OSError, smtplib.SMTPException
        """
        if self.security == "tls":
            server: smtplib.SMTP = smtplib.SMTP_SSL(
                self.host, self.port, timeout=TIMEOUT, context=self._trust()
            )
        else:
            server = smtplib.SMTP(self.host, self.port, timeout=TIMEOUT)
        try:
            if self.security == "starttls":
                server.starttls(context=self._trust())
            if self.user:
                server.login(self.user, self.password)
        except BaseException:
            server.close()
            raise
        return server

    def _trust(self) -> ssl.SSLContext:
        return ssl.create_default_context(cafile=self.ca_file or None)


def lacking(settings: Settings) -> str:
    """What is still to be set where mail is not set up: with a host it is the address that mails come from."""
    if not settings.mail_host:
        return NOT_SET_UP
    if settings.mail_from:
        return (
            f"mail_from is no mail address ({settings.mail_from}): correct it, then start the server again."
        )
    reason = " (mail_user is no mail address either)" if settings.mail_user else ""
    return f"mail_from is missing{reason}: set the address that mails come from, then start the server again."


@dataclass(frozen=True)
class MailChannel:
    """Sends mails. `base` is how readers reach this server, for the stop link and the link to the plot."""

    server: MailServer | None
    base: str
    links: StopLinks
    lacks: str = NOT_SET_UP

    @classmethod
    def of(cls, settings: Settings) -> MailChannel:
        links = StopLinks(settings.stop_key_file)
        return cls(MailServer.of(settings), settings.address(), links, lacking(settings))

    def send(self, message: Message, target: Target) -> Outcome:
        """Hand one mail to the mail server."""
        if self.server is None:
            return Outcome("retry", self.lacks)
        stop = link_of_stop(self.base, self.links.token(target.address["stop_handle"]))
        mail = mail_of(message, target, self.server.sender, self.base, stop)
        server = _reached(self.server)
        if isinstance(server, Outcome):
            return server
        with contextlib.closing(server):
            return _hand_over(server, self.server.sender, target.address["address"], mail)

    def check(self) -> Outcome:
        """Connect, say who we are, and leave again, for `doctor`."""
        if self.server is None:
            return Outcome("retry", self.lacks)
        server = _reached(self.server)
        if isinstance(server, Outcome):
            return server
        with contextlib.closing(server), contextlib.suppress(OSError, smtplib.SMTPException):
            server.quit()
        return Outcome("ok")


def mail_of(message: Message, target: Target, sender: str, base: str, stop: str) -> EmailMessage:
    """Write the mail of a message; `stop` is the link that stops such mails."""
    domain = sender.rpartition("@")[2]
    mail = EmailMessage(policy=_POLICY)
    mail["From"] = sender
    mail["To"] = target.address["address"]
    mail["Subject"] = subject(message)
    mail["Date"] = message.sent_at
    mail["Message-ID"] = f"<{message.id}@{domain}>"
    mail["Auto-Submitted"] = "auto-generated"  # RFC 3834: no out-of-office answers, please
    mail["List-Unsubscribe"] = f"<{stop}>"
    if stop.startswith("https:"):  # RFC 8058, section 3.1 wants https for one click
        mail["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    mail.set_content(plain(message, base, stop))
    if not message.bare:
        mail.add_alternative(html(message, base, stop), subtype="html")
    return mail


class _Link(UnstructuredHeader, BaseHeader):
    """A head that is one address: never wrapped into encoded words, which would break it (RFC 2047, section 5)."""

    def fold(self, *, policy: Policy) -> str:
        return f"{self.name}: {self}{policy.linesep}"


_HEADS: Final = HeaderRegistry()
_HEADS.map_to_type("list-unsubscribe", _Link)
_POLICY: Final = SMTP.clone(cte_type="7bit", header_factory=_HEADS)  # not every server takes eight bits


def _reached(mail_server: MailServer) -> smtplib.SMTP | Outcome:
    """Connect, or say in plain words why not."""
    try:
        return mail_server.connect()
    except smtplib.SMTPAuthenticationError:
        return Outcome(
            "retry", "The mail server refuses our name or password: check mail_user and the password."
        )
    except ssl.SSLError as fault:
        return Outcome(
            "retry",
            f"The mail server can't prove who it is ({fault.reason}): check mail_host and mail_ca.",
        )
    except smtplib.SMTPNotSupportedError:
        return Outcome(
            "retry", "The mail server has no STARTTLS or no login: check mail_security and mail_user."
        )
    except (OSError, smtplib.SMTPException):
        return Outcome(
            "retry", "The mail server can't be reached: check mail_host, mail_port and mail_security."
        )


def _hand_over(server: smtplib.SMTP, sender: str, receiver: str, mail: EmailMessage) -> Outcome:
    on_its_way = False
    try:
        server.ehlo_or_helo_if_needed()
        for say, address in ((server.mail, sender), (server.rcpt, receiver)):
            code, answer = say(address)
            if code >= 400:
                return _refused(code, answer)
        on_its_way = True
        code, answer = server.data(mail.as_bytes())
        if code >= 400:
            return _refused(code, answer)
    except smtplib.SMTPResponseException as fault:
        return _refused(fault.smtp_code, fault.smtp_error)
    except (OSError, smtplib.SMTPException):
        return Outcome("retry", "The mail server broke off; it is tried again.", maybe_sent=on_its_way)
    with contextlib.suppress(OSError, smtplib.SMTPException):
        server.quit()
    return Outcome("ok")


def _refused(code: int, answer: bytes | str) -> Outcome:
    """What a refusal means (RFC 5321, section 4.2.1): 4yz come back later, 5yz never like this."""
    said = answer.decode("utf-8", "replace") if isinstance(answer, bytes) else answer
    said = " ".join(said.split())[:160]
    if code == 552 or "5.3.4" in said:  # RFC 3463: message too big for system
        return Outcome("too_large", f"The mail server takes no mail of that size ({code} {said}).")
    if code < 500:
        return Outcome("retry", f"The mail server asks us to come back later ({code} {said}).")
    return Outcome(
        "refused", f"The mail server refuses the mail ({code} {said}): check the address and mail_from."
    )
