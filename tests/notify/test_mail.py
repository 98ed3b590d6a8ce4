"""Mail against a real SMTP server in a process of its own: what arrives, how it is secured, what refusals mean."""

from __future__ import annotations

import re
import socket
from collections.abc import Callable
from dataclasses import replace
from email import message_from_bytes
from email.policy import SMTP
from html.parser import HTMLParser
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.notify import certificates
from tests.notify.conftest import MailServerProcess
from tests.notify.messages import FROST, SURGE, message
from underboard.config import Settings, load_settings
from underboard.notify import Message, Outcome, Target
from underboard.notify.mail import MailChannel, mail_of
from underboard.notify.mail_words import subject, window
from underboard.notify.stop_links import StopLinks

Start = Callable[..., MailServerProcess]
READER = Target("email", "t1", {"address": "may@example.org", "stop_handle": "a5"})


HOME = TemporaryDirectory(prefix="underboard-mail-")  # holds the key that proves stop links
(Path(HOME.name) / "keys").mkdir()
STOP = StopLinks(Settings(data=Path(HOME.name)).stop_key_file).token("a5")


def channel(port: int, **changes: object) -> MailChannel:
    settings = Settings(
        data=Path(HOME.name),
        mail_host="127.0.0.1",
        mail_port=port,
        mail_security="none",
        mail_from="plot@example.net",
        public_url="https://plot.example",
    )
    return MailChannel.of(replace(settings, **changes))  # type: ignore[arg-type]


def test_one_mail_says_everything_worst_first_as_text_and_as_html(mail_server: Start) -> None:
    server = mail_server()
    assert channel(server.port).send(message(FROST, SURGE), READER) == Outcome("ok")
    (mail,) = server.mails
    assert (mail["From"], mail["To"], mail["X-Test-To"]) == (
        "plot@example.net",
        "may@example.org",
        "may@example.org",
    )
    assert mail["Subject"] == "Mill Lane: Frost likely in the tunnel tonight: 71 %… (+1 more)"
    plain = mail.get_body(("plain",)).get_content()
    assert plain.index("Frost likely") < plain.index("Slugs are rising")
    # 23:00 UTC on 12 May is midnight in London, which keeps summer time then
    assert "Wed 13 May 00:00 to 06:00" in plain
    assert "Take care: No open flame in a tunnel." in plain and f"https://plot.example/stop/{STOP}" in plain
    html = mail.get_body(("html",)).get_content()
    assert "<h2>Frost likely in the tunnel tonight" in html and "<script" not in html and "src=" not in html


def test_the_head_lets_a_reader_stop_with_one_click(mail_server: Start) -> None:
    """RFC 2369 and RFC 8058; RFC 3834 keeps out-of-office answers away."""
    server = mail_server()
    channel(server.port).send(message(), READER)
    channel(server.port, public_url="http://192.168.1.5:8350").send(message(), READER)
    secure, plain = server.mails
    assert secure["List-Unsubscribe"] == f"<https://plot.example/stop/{STOP}>"
    assert secure["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert secure["Auto-Submitted"] == "auto-generated"
    assert secure["Message-ID"] == f"<{message().id}@example.net>"
    assert plain["List-Unsubscribe"] == f"<http://192.168.1.5:8350/stop/{STOP}>"
    assert plain["List-Unsubscribe-Post"] is None, "RFC 8058, section 3.1: one click needs https"


@pytest.mark.parametrize("base", ["https://a.example", f"https://{'long-name.' * 9}example:8443", "x" * 400])
def test_a_long_address_stays_one_address_in_the_head(base: str) -> None:
    """Programs that press the link by themselves read no encoded words there (RFC 2047, section 5)."""
    mail = mail_of(message(), READER, "plot@example.net", base, f"{base}/stop/{STOP}")
    head = mail.as_bytes().split(b"\r\n\r\n")[0]
    assert f"List-Unsubscribe: <{base}/stop/{STOP}>\r\n".encode() in head
    read = message_from_bytes(mail.as_bytes(), policy=SMTP)
    assert read["List-Unsubscribe"] == f"<{base}/stop/{STOP}>"
    with pytest.raises(ValueError, match="linefeed"):
        mail_of(message(), READER, "plot@example.net", base, "https://a/\r\nBcc: evil@example.org")


def test_a_mail_that_was_cut_off_behind_its_last_byte_is_repeated_as_the_same_mail(
    mail_server: Start,
) -> None:
    server = mail_server(answers=[["data", "drop"]])
    first = channel(server.port).send(message(), READER)
    assert (first.kind, first.maybe_sent) == ("retry", True)
    assert channel(server.port).send(message(), READER).kind == "ok"
    assert len(server.mails) == 2 and len({mail["Message-ID"] for mail in server.mails}) == 1


@pytest.mark.parametrize(
    ("step", "said", "kind"),
    [
        ("rcpt", "550 5.1.1 No such mailbox", "refused"),
        ("rcpt", "451 4.7.1 Greylisted, come back later", "retry"),
        ("data", "552 5.3.4 Message too big", "too_large"),
        ("data", "554 5.7.1 Looks like spam", "refused"),
        ("data", "452 4.2.2 Mailbox full", "retry"),
    ],
)
def test_what_each_refusal_means(mail_server: Start, step: str, said: str, kind: str) -> None:
    server = mail_server(answers=[[step, said]])
    outcome = channel(server.port).send(message(), READER)
    assert (outcome.kind, outcome.maybe_sent) == (kind, False)
    assert said in outcome.words and server.mails == []


@pytest.mark.parametrize("security", ["starttls", "tls"])
def test_the_way_is_encrypted_and_the_server_is_asked_who_it_is(
    mail_server: Start, tmp_path: Path, security: str
) -> None:
    authority, certificate, key = certificates.make(tmp_path)
    options = {"certificate": str(certificate), "key": str(key), "user": "plot", "password": "wet boots"}
    server = mail_server(security=security, **options)
    login = {"mail_security": security, "mail_user": "plot", "mail_password": "wet boots"}
    stranger = channel(server.port, **login).send(message(), READER)
    assert stranger.kind == "retry" and "mail_ca" in stranger.words and server.mails == []
    trusted = {**login, "mail_ca": str(authority)}
    assert channel(server.port, **trusted).send(message(), READER) == Outcome("ok")
    (mail,) = server.mails
    assert mail["X-Test-Tls"] == "True"
    wrong = channel(server.port, **{**trusted, "mail_password": "dry boots"}).send(message(), READER)
    assert wrong.kind == "retry" and "password" in wrong.words and "dry boots" not in wrong.words


def test_a_server_without_encryption_is_not_given_the_password(mail_server: Start) -> None:
    server = mail_server()
    outcome = channel(server.port, mail_security="starttls", mail_user="a", mail_password="b").send(
        message(), READER
    )
    assert outcome.kind == "retry" and "STARTTLS" in outcome.words and server.mails == []


def test_nobody_there_and_nothing_set_up() -> None:
    with socket.socket() as nobody_there:  # bound, but it does not listen
        nobody_there.bind(("127.0.0.1", 0))
        port = nobody_there.getsockname()[1]
        assert channel(port).send(message(), READER) == Outcome(
            "retry", "The mail server can't be reached: check mail_host, mail_port and mail_security."
        )
    assert "mail_host" in channel(port, mail_host="").send(message(), READER).words
    # With a host it names the one that is missing, and nothing that is there.
    for lacks, words in (
        ({"mail_from": ""}, "mail_from is missing: "),
        (
            {"mail_from": "", "mail_user": "plot"},
            "mail_from is missing (mail_user is no mail address either): ",
        ),
        ({"mail_from": "the plot"}, "mail_from is no mail address (the plot): "),
    ):
        said = channel(port, **lacks)
        assert said.send(message(), READER) == said.check()
        assert said.check().words.startswith(words) and "mail_host" not in said.check().words


class Tags(HTMLParser):
    """Names of all elements, and everything that links somewhere."""

    def __init__(self) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.links: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.add(tag)
        self.links |= {value or "" for name, value in attrs if name in ("href", "src")}


HOSTILE = "<img src=x onerror=alert(1)></p><script>alert(1)</script>\r\nBcc: all@example.org"


def hostile() -> Message:
    words = {"headline": HOSTILE, "why": HOSTILE, "advice": HOSTILE, "caution": HOSTILE}
    return message(replace(FROST, **words), plot_name=f"Plot{HOSTILE}")  # type: ignore[arg-type]


def test_what_people_wrote_stays_text_in_the_head_and_in_html(mail_server: Start) -> None:
    server = mail_server()
    channel(server.port).send(hostile(), READER)
    (mail,) = server.mails
    assert mail["Bcc"] is None and "\n" not in mail["Subject"]
    tags = Tags()
    tags.feed(mail.get_body(("html",)).get_content())
    assert tags.names == {"html", "head", "meta", "title", "body", "h2", "p", "b", "hr", "a"}
    assert tags.links == {"https://plot.example/", f"https://plot.example/stop/{STOP}"}
    assert mail["X-Test-To"] == "may@example.org"


def test_every_line_is_short_ascii_for_old_servers(mail_server: Start) -> None:
    server = mail_server()
    long = replace(FROST, why="Ä" * 5000, headline="Frühfrost " * 30)
    channel(server.port).send(message(long), READER)
    raw = (server.folder / "000.eml").read_bytes()
    assert max(map(len, raw.split(b"\r\n"))) <= 998  # RFC 5321, section 4.5.3.1.6
    assert re.search(rb"[\x80-\xff]", raw) is None
    assert "Ä" * 5000 in server.mails[0].get_body(("plain",)).get_content().replace("\n", "")


def test_subjects_fit_and_say_what_is_worst() -> None:
    long = replace(FROST, headline="Frost " * 40)
    assert len(subject(message(long, SURGE, SURGE))) <= 69  # 78 with its name (RFC 5322, section 2.1.1)
    assert subject(message(long, SURGE)).endswith("… (+1 more)")
    assert subject(message(plot_name=None)).startswith("Frost likely")
    assert "trial" in subject(replace(message(), notices=()))


def test_times_are_those_of_the_plot() -> None:
    assert window(FROST, "Australia/Lord_Howe") == "Wed 13 May 09:30 to 15:30"
    assert window(FROST, None) == "Tue 12 May 23:00 to Wed 13 May 05:00"
    assert window(SURGE, "Europe/London") == ""


def test_the_password_lies_in_the_keys_folder_or_the_environment_and_nowhere_else(tmp_path: Path) -> None:
    (tmp_path / "keys").mkdir()
    (tmp_path / "keys" / "mail_password").write_text("wet boots\n")
    settings = load_settings(tmp_path, environ={})
    assert settings.mail_secret == "wet boots"
    told = load_settings(tmp_path, environ={"UNDERBOARD_MAIL_PASSWORD": "dry boots"})
    assert told.mail_secret == "dry boots"
    assert "boots" not in repr(told) and "boots" not in repr(channel(1, mail_password="wet boots"))
