"""A whole turn: out of the database, over real sockets, and what stands in the database afterwards."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.notify.conftest import MailServerProcess
from tests.notify.push_service import DROP, PushService, running
from tests.notify.subscriber import Subscriber
from tests.store.outgoing import NOON, Outgoing
from underboard.config import Settings
from underboard.data_folder import prepare_data_folder
from underboard.notify import Outcome, Turn, channels_of, send_due
from underboard.notify.port import Channel
from underboard.notify.recorder import Recorder
from underboard.store import outbox

pytestmark = pytest.mark.usefixtures("database_app")


class Clock:
    """Stands still until it is told."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        return self.now

    def go(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)


@pytest.fixture
def clock() -> Clock:
    return Clock()


def turn(channels: dict[str, Channel], clock: Clock) -> Turn:
    return send_due(outbox.lease_due, outbox.settle, channels, clock)


def test_two_warnings_are_one_message_to_each_target_worst_first(clock: Clock) -> None:
    plot, recorder = Outgoing(), Recorder()
    phone, reader = plot.phone(), plot.mail()
    plot.plan(
        plot.warning("Slugs are rising", severity="Minor"), plot.warning("Frost likely", severity="Severe")
    )
    assert turn({"push": recorder, "email": recorder}, clock) == Turn(sent=2)
    assert sorted(target.id for _, target in recorder.sent) == sorted([phone, reader])
    for message, _ in recorder.sent:
        assert [one.headline for one in message.notices] == ["Frost likely", "Slugs are rising"]
    assert turn({"push": recorder, "email": recorder}, clock) == Turn()


def test_what_comes_up_during_a_turn_waits_for_the_next(clock: Clock) -> None:
    plot = Outgoing()
    plot.phone()

    def one_more(*_: object) -> Outcome:
        if len(recorder.sent) < 5:
            plot.plan(plot.warning("Another"))
        return Outcome("ok")

    recorder = Recorder(one_more)
    plot.plan(plot.warning())
    assert [turn({"push": recorder}, clock) for _ in range(2)] == [Turn(sent=1)] * 2


def test_a_channel_that_breaks_holds_nobody_up(clock: Clock) -> None:
    plot = Outgoing()
    plot.phone()
    reader = plot.mail()

    def fall_over(*_: object) -> Outcome:
        raise ZeroDivisionError

    plot.plan(plot.warning())
    channels: dict[str, Channel] = {"push": Recorder(fall_over), "email": Recorder()}
    assert turn(channels, clock) == Turn(sent=1, put_off=1)
    assert plot.standing(reader).last_sent_at == NOON
    assert plot.states() == ["pending", "sent"]


@pytest.fixture
def service() -> Iterator[PushService]:
    with running() as made:
        yield made


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    made = Settings(data=tmp_path / "data", push_plain_loopback=True, mail_from="plot@example.net")
    prepare_data_folder(made)
    return made


def with_phone(service: PushService) -> tuple[Outgoing, str, Subscriber]:
    plot, browser = Outgoing(), Subscriber()
    phone = plot.phone()
    plot.subscribe(phone, f"{service.url}/a", browser.keys)
    return plot, phone, browser


def test_from_the_database_to_the_browsers_eyes(
    service: PushService, settings: Settings, clock: Clock
) -> None:
    plot, phone, browser = with_phone(service)
    plot.plan(plot.warning("Frost at 51.50 N"), plot.warning("Slugs are rising"))
    assert turn(dict(channels_of(settings)), clock) == Turn(sent=1)
    (got,) = service.received
    read = browser.open(got.body)
    assert (read["n"], read["tag"]) == (2, got.headers["Topic"])
    assert set(read) == {"n", "at", "tag"}, "nothing else leaves the house"
    assert plot.standing(phone).last_sent_at == NOON


def test_a_busy_service_is_left_alone_as_long_as_it_asks(
    service: PushService, settings: Settings, clock: Clock
) -> None:
    plot, phone, _ = with_phone(service)
    channels = dict(channels_of(settings))
    plot.plan(plot.warning())
    service.will_answer(429, Retry_After="600")
    service.will_answer(500)
    done = []
    for _ in range(15):
        done.append(turn(channels, clock))
        clock.go(1)
    # at 0: asked to wait 10 minutes; at 10: its own trouble, two minutes; at 12: taken
    assert [number for number, one in enumerate(done) if one != Turn()] == [0, 10, 12]
    assert done[12] == Turn(sent=1) and plot.standing(phone).state == "ok"


def test_a_broken_connection_makes_no_second_notice(
    service: PushService, settings: Settings, clock: Clock
) -> None:
    plot, _, browser = with_phone(service)
    channels = dict(channels_of(settings))
    plot.plan(plot.warning())
    service.will_answer(DROP)
    assert turn(channels, clock) == Turn(put_off=1)
    plot.plan(plot.warning("Slugs are rising"), now=clock.now)
    clock.go(1)
    assert turn(channels, clock) == Turn(sent=1)
    first, second = service.received
    assert first.headers["Topic"] == second.headers["Topic"]
    assert {browser.open(one.body)["tag"] for one in (first, second)} == {first.headers["Topic"]}
    assert browser.open(second.body)["n"] == 1, "the repeat says what the first one said"


def test_a_message_too_large_is_sent_bare_in_the_same_turn(
    service: PushService, settings: Settings, clock: Clock
) -> None:
    plot, _, _ = with_phone(service)
    plot.plan(plot.warning())
    service.will_answer(413)
    assert turn(dict(channels_of(settings)), clock) == Turn(sent=1)
    assert [len(one.body) > 0 for one in service.received] == [True, False]


@pytest.mark.parametrize("status", [404, 410])
def test_a_phone_that_is_gone_is_asked_once_and_told_about(
    service: PushService, settings: Settings, clock: Clock, status: int
) -> None:
    plot, phone, _ = with_phone(service)
    plot.plan(plot.warning())
    service.will_answer(status)
    assert turn(dict(channels_of(settings)), clock) == Turn(given_up=1)
    assert plot.plan(plot.warning("Slugs are rising")) == 0
    assert plot.standing(phone).state == "dead" and len(service.received) == 1


def test_a_mail_server_that_breaks_off_leaves_one_mail_to_see(
    mail_server: Callable[..., MailServerProcess], settings: Settings, clock: Clock
) -> None:
    from dataclasses import replace

    server = mail_server(answers=[["data", "drop"]])
    channels = dict(
        channels_of(replace(settings, mail_host="127.0.0.1", mail_port=server.port, mail_security="none"))
    )
    plot = Outgoing()
    plot.mail()
    plot.plan(plot.warning())
    assert turn(channels, clock) == Turn(put_off=1)
    clock.go(1)
    assert turn(channels, clock) == Turn(sent=1)
    assert len(server.mails) == 2, "both arrived"
    # what a mail program shows: one for each Message-ID (RFC 5322, section 3.6.4)
    assert len({mail["Message-ID"] for mail in server.mails}) == 1
