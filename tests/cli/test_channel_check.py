"""`doctor` on the ways by which warnings leave: a dead one is named, with what mends it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.conftest import bare_app
from tests.notify.conftest import MailServerProcess, mail_server
from tests.store.outgoing import Outgoing
from underboard.cli import main
from underboard.notify import Outcome
from underboard.store import db, outbox

__all__ = ["mail_server"]  # the fixture of the room next door
Examine = Callable[[], tuple[int, list[tuple[str, str, str]]]]


@pytest.fixture
def examine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Examine:
    """Run `doctor`; its exit code, and (about, level, words) of what it says about channels."""

    def run() -> tuple[int, list[tuple[str, str, str]]]:
        code = main(["doctor", "--data", str(tmp_path / "data"), "--json"])
        found = json.loads(capsys.readouterr().out)["findings"]
        rows = [(one["about"], one["level"], one["words"]) for one in found]
        return code, [row for row in rows if row[0] in ("channels", "mail server", "notices")]

    return run


@pytest.fixture
def plot(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Iterator[Outgoing]:
    main(["migrate", "--data", str(tmp_path / "data")])
    capsys.readouterr()
    app = bare_app(f"sqlite:///{tmp_path / 'data' / 'underboard.sqlite3'}")
    with app.app_context():
        yield Outgoing()
        db.engine.dispose()


def test_without_any_it_says_where_to_find_them(examine: Examine, plot: Outgoing) -> None:
    assert examine() == (
        0,
        [("channels", "ok", "warnings are shown in the app alone; Sync on a phone adds notices and mails.")],
    )


def test_a_dead_phone_and_a_waiting_message_are_trouble(
    examine: Examine, plot: Outgoing, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("UNDERBOARD_PUSH_CONTACT", "may@example.org")
    phone = plot.phone("May's phone")
    now = datetime.now(UTC)
    frost = plot.warning()
    plot.plan(frost, now=now - timedelta(hours=1), hours=1_000_000, watch={"settings": {"wake": True}})
    parcel = outbox.lease_due(now - timedelta(hours=1))
    assert parcel is not None
    outbox.settle(parcel, Outcome("gone", "No longer known."), now)
    plot.subscribe(plot.phone("Bo's phone"))
    slugs = plot.warning("Slugs are rising")
    plot.plan(slugs, now=now - timedelta(minutes=40), hours=1_000_000, watch={"settings": {"wake": True}})
    code, found = examine()
    assert code == 1
    assert [level for _, level, _ in found] == ["trouble", "trouble"]
    assert (
        found[0][2].startswith("notices on May's phone fail since ") and "allow notices again" in found[0][2]
    )
    assert "40 minutes" in found[1][2] and "underboard serve" in found[1][2]
    assert plot.standing(phone).state == "dead"


def test_addresses_without_a_mail_server_are_trouble_and_with_one_it_is_tried(
    examine: Examine,
    plot: Outgoing,
    mail_server: Callable[..., MailServerProcess],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plot.mail()
    code, found = examine()
    assert code == 1 and found[0][:2] == ("mail server", "trouble") and "mail_host" in found[0][2]
    monkeypatch.setenv("UNDERBOARD_MAIL_HOST", "127.0.0.1")
    code, found = examine()
    assert code == 1 and found[0][2].startswith("mail_from is missing: ")
    server = mail_server()
    settings = {"HOST": "127.0.0.1", "PORT": str(server.port), "SECURITY": "none", "FROM": "plot@example.net"}
    for name, value in settings.items():
        monkeypatch.setenv(f"UNDERBOARD_MAIL_{name}", value)
    assert examine() == (
        0,
        [
            ("mail server", "ok", "127.0.0.1 takes our mails"),
            ("channels", "ok", "0 phones and 1 mail address"),
        ],
    )
    assert server.mails == []
    server.process.kill()
    server.process.wait()
    code, found = examine()
    assert code == 1 and "can't be reached" in found[0][2]


def test_phones_without_a_contact_are_a_note(examine: Examine, plot: Outgoing) -> None:
    plot.phone()
    code, found = examine()
    assert code == 0
    assert [(about, level) for about, level, _ in found] == [("notices", "note"), ("channels", "ok")]
    assert "push_contact" in found[0][2]
