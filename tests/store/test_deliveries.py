"""The outbox: what is planned once, held through the night, sent as one message, repeated as the same one."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from flask import Flask

from tests.store.outgoing import LONDON, NOON, Outgoing, headlines
from underboard.notify import Outcome
from underboard.store import outbox, people, targets
from underboard.store.deliveries import first_try
from underboard.store.outbox import settle

pytestmark = pytest.mark.usefixtures("database_app")
OK = Outcome("ok")


def at(minutes: float) -> datetime:
    return NOON + timedelta(minutes=minutes)


def test_what_is_planned_again_is_not_sent_again() -> None:
    plot = Outgoing()
    plot.phone()
    plot.mail()
    frost = plot.warning()
    assert [plot.plan(frost), plot.plan(frost), plot.plan(frost, stage="worse")] == [2, 0, 2]


def test_stopped_forgotten_and_put_out_get_nothing() -> None:
    plot = Outgoing()
    gone, lost, kept = plot.phone("gone"), plot.phone("lost"), plot.phone("kept")
    people.revoke(plot.plot_id, gone, NOON, "owner")
    targets.unsubscribe_phone(lost)
    targets.remove_address(plot.plot_id, plot.mail())
    frost = plot.warning()
    assert plot.plan(frost) == 1
    parcel = plot.must_lease()
    assert (parcel.target_id, parcel.channel) == (kept, "push")
    assert plot.lease() is None


def test_whoever_stops_between_planning_and_sending_gets_nothing() -> None:
    plot = Outgoing()
    phone = plot.phone()
    plot.plan(plot.warning())
    people.revoke(plot.plot_id, phone, NOON, "owner")
    assert plot.lease() is None
    assert plot.states() == ["dead"]


@pytest.mark.parametrize(
    ("channels", "count"), [(None, 2), (["push"], 1), (["email"], 1), (["calendar"], 0), ([], 0)]
)
def test_a_rule_goes_the_ways_that_people_chose(channels: list[str] | None, count: int) -> None:
    plot = Outgoing()
    plot.phone()
    plot.mail()
    assert plot.plan(plot.warning(), watch={"channels": channels}) == count


BERLIN = ZoneInfo("Europe/Berlin")
LORD_HOWE = ZoneInfo("Australia/Lord_Howe")
OWN = {"quiet_from": "13:00", "quiet_to": "15:30"}


@pytest.mark.parametrize(
    ("watch", "zone", "now", "then"),
    [
        # before midnight, after midnight, first and last minute of the usual 22:00 to 06:00 (BST is UTC+1)
        ({}, LONDON, "2026-05-12T22:30+00:00", "2026-05-13T05:00+00:00"),
        ({}, LONDON, "2026-05-13T01:00+00:00", "2026-05-13T05:00+00:00"),
        ({}, LONDON, "2026-05-12T21:00+00:00", "2026-05-13T05:00+00:00"),
        ({}, LONDON, "2026-05-12T20:59+00:00", "2026-05-12T20:59+00:00"),
        ({}, LONDON, "2026-05-13T05:00+00:00", "2026-05-13T05:00+00:00"),
        # clocks go forward in Berlin at 2026-03-29 01:00 UTC: 06:00 is 04:00 UTC; back at 2026-10-25 01:00 UTC
        ({}, BERLIN, "2026-03-28T22:00+00:00", "2026-03-29T04:00+00:00"),
        ({}, BERLIN, "2026-10-24T21:00+00:00", "2026-10-25T05:00+00:00"),
        # Lord Howe goes forward by half an hour, to UTC+11, at 2026-10-03 15:30 UTC
        ({}, LORD_HOWE, "2026-10-03T12:00+00:00", "2026-10-03T19:00+00:00"),
        (OWN, LONDON, "2026-05-12T12:10+00:00", "2026-05-12T14:30+00:00"),
        (OWN, LONDON, "2026-05-12T22:30+00:00", "2026-05-12T22:30+00:00"),
        ({"quiet_from": "00:00", "quiet_to": "00:00"}, LONDON, "2026-05-12T23:30+00:00", "2026-05-12T23:30+00:00"),
        ({"quiet_from": "23:45"}, LONDON, "2026-05-12T22:30+00:00", "2026-05-12T22:30+00:00"),
        ({"quiet_to": "07:15"}, LONDON, "2026-05-12T22:30+00:00", "2026-05-13T06:15+00:00"),
        ({"settings": {"wake": True}}, LONDON, "2026-05-12T23:30+00:00", "2026-05-12T23:30+00:00"),
    ],
)  # fmt: skip
def test_quiet_hours_hold_a_message_until_morning(
    watch: dict[str, Any], zone: ZoneInfo, now: str, then: str
) -> None:
    assert first_try(watch, False, datetime.fromisoformat(now), zone) == datetime.fromisoformat(then)


def test_a_rule_that_wakes_speaks_at_night_unless_people_said_otherwise() -> None:
    night = datetime(2026, 5, 12, 23, 30, tzinfo=UTC)
    assert first_try({}, True, night, LONDON) == night
    assert first_try({"settings": {"wake": False}}, True, night, LONDON) == datetime(
        2026, 5, 13, 5, tzinfo=UTC
    )


def test_what_is_over_before_the_quiet_ends_is_never_sent() -> None:
    plot = Outgoing()
    plot.phone()
    frost = plot.warning()
    # 23:00 in London; the window ends at 04:00, the quiet at 06:00
    plot.plan(frost, now=at(11 * 60), hours=16)
    assert plot.lease(11 * 60) is None and plot.states() == ["pending"]
    assert plot.lease(18 * 60) is None and plot.states() == ["expired"]


def test_what_no_longer_holds_is_not_sent() -> None:
    plot = Outgoing()
    plot.phone()
    frost, slugs = plot.warning(), plot.warning("Slugs are rising")
    plot.plan(frost, slugs)
    plot.write("warning", {"ended_at": NOON.isoformat()}, frost)
    assert headlines(plot.lease()) == ["Slugs are rising"]
    assert plot.states() == ["expired", "leased"]


def test_all_that_is_due_goes_as_one_message_in_its_newest_words() -> None:
    plot = Outgoing()
    plot.write("plot", {"name": "Mill Lane", "time_zone": "Europe/London"})
    plot.phone()
    frost, slugs = plot.warning(), plot.warning("Slugs are rising")
    plot.plan(frost)
    plot.plan(slugs)
    plot.write("warning", {"headline": "Frost very likely"}, frost)
    plot.plan(frost, stage="worse", now=at(1))
    parcel = plot.must_lease(1)
    assert headlines(parcel) == ["Frost very likely", "Slugs are rising"]
    assert {item["headline"]: item["stage"] for item in parcel.items}["Frost very likely"] == "worse"
    assert (parcel.plot_name, parcel.time_zone) == ("Mill Lane", "Europe/London")
    assert settle(parcel, OK, at(1)) and plot.states() == ["sent"] * 3
    assert plot.lease(2) is None


def test_a_message_that_may_have_arrived_is_repeated_as_itself_and_newer_ones_wait() -> None:
    plot = Outgoing()
    plot.phone()
    plot.plan(plot.warning())
    first = plot.must_lease()
    settle(first, Outcome("retry", "It broke off.", maybe_sent=True), at(0))
    plot.plan(plot.warning("Slugs are rising"), now=at(1))
    assert plot.lease(0.5) is None
    again = plot.must_lease(2)
    assert (again.id, headlines(again)) == (first.id, ["Frost likely"])
    settle(again, OK, at(2))
    newer = plot.must_lease(2)
    assert newer.id != first.id and headlines(newer) == ["Slugs are rising"]


def test_a_message_that_surely_did_not_arrive_is_joined_by_newer_ones() -> None:
    plot = Outgoing()
    plot.phone()
    plot.plan(plot.warning())
    first = plot.must_lease()
    settle(first, Outcome("retry", "Not now."), at(0))
    plot.plan(plot.warning("Slugs are rising"), now=at(1))
    joined = plot.must_lease(1)
    assert headlines(joined) == ["Frost likely", "Slugs are rising"] and joined.id != first.id


def test_a_sender_that_died_is_followed_by_another_with_the_same_message() -> None:
    plot = Outgoing()
    plot.phone()
    plot.plan(plot.warning())
    lost = plot.must_lease()
    plot.plan(plot.warning("Slugs are rising"), now=at(1))
    taken = plot.must_lease(outbox.LEASE.total_seconds() / 60)
    assert (taken.id, headlines(taken)) == (lost.id, ["Frost likely"])
    assert taken.fence > lost.fence
    assert settle(lost, Outcome("gone", "Too late."), at(4)) is False
    assert plot.states() == ["leased", "pending"]
    assert settle(taken, OK, at(4)) is True
    assert settle(taken, OK, at(4)) is False


def test_waiting_grows_and_obeys_the_other_side() -> None:
    plot = Outgoing()
    phone = plot.phone()
    plot.plan(plot.warning())
    minute, waits = 0.0, []
    for asked in (None, 30.0, 900.0, None):
        settle(plot.must_lease(minute), Outcome("retry", "Not now.", asked), at(minute))
        later = next(n for n in range(1, 200) if plot_is_due(minute + n))
        waits.append(later)
        minute += later
    # 1, 2, 5 and 10 minutes of our own; 900 s is more than 5 minutes
    assert waits == [1, 2, 15, 10]
    assert plot.standing(phone).state == "dead" and plot.standing(phone).words == "Not now."
    settle(plot.must_lease(minute), OK, at(minute))
    mended = plot.standing(phone)
    assert (mended.state, mended.words, mended.failing_since, mended.last_sent_at) == (
        "ok",
        None,
        None,
        at(minute),
    )


def plot_is_due(minute: float) -> bool:
    from underboard.store.database import reading
    from underboard.store.tables import DeliveryRow

    with reading() as connection:
        rows = connection.execute(DeliveryRow.__table__.select().where(DeliveryRow.next_try_at <= at(minute)))
        return bool(rows.all())


def test_a_phone_that_is_gone_is_pruned_and_comes_back_when_it_asks() -> None:
    plot = Outgoing()
    phone, other = plot.phone(), plot.mail()
    plot.plan(plot.warning())
    plot.plan(plot.warning("Slugs are rising"), now=NOON, watch={"quiet_from": "11:00", "quiet_to": "14:00"})
    parcel = next(p for p in (plot.lease(), plot.lease()) if p is not None and p.channel == "push")
    settle(parcel, Outcome("gone", "No longer known."), NOON)
    assert plot.standing(phone).state == "dead"
    assert "allow notices again" in str(plot.standing(phone).words)
    assert plot.standing(other).state == "ok"
    assert plot.plan(plot.warning("Another")) == 1, "only the mail address is left"
    later = plot.must_lease(181)
    assert later.channel == "email", "what was waiting for the phone is given up"
    plot.subscribe(phone)
    assert plot.standing(phone).state == "ok"
    assert plot.plan(plot.warning("Yet another")) == 2


def test_a_mail_that_is_refused_is_given_up_and_the_next_one_is_tried() -> None:
    plot = Outgoing()
    reader = plot.mail()
    plot.plan(plot.warning())
    settle(plot.must_lease(), Outcome("refused", "No such mailbox."), NOON)
    assert (plot.states(), plot.standing(reader).state) == (["dead"], "failing")
    plot.plan(plot.warning("Slugs are rising"), now=at(5))
    settle(plot.must_lease(5), OK, at(5))
    assert plot.standing(reader).state == "ok"


def test_eight_senders_at_once_send_each_message_once(database_app: Flask) -> None:
    plots = [Outgoing() for _ in range(6)]
    for plot in plots:
        for number in range(3):
            plot.phone(f"phone {number}")
        plot.plan(plot.warning(), plot.warning("Slugs are rising"))
    taken: list[tuple[str, int]] = []
    faults: list[Exception] = []

    def send() -> None:
        with database_app.app_context():
            try:
                while (parcel := outbox.lease_due(NOON)) is not None:
                    taken.append((parcel.target_id, len(parcel.items)))
                    assert settle(parcel, OK, NOON)
            except Exception as fault:
                faults.append(fault)

    threads = [threading.Thread(target=send) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    assert len(taken) == len(set(taken)) == 18 and {count for _, count in taken} == {2}
