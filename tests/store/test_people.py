"""Who gets in: codes, devices, and the door shut again."""

from __future__ import annotations

import hashlib
import threading
from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import select

from tests.store.sender import NOW
from underboard.core.errors import (
    CodeExpired,
    CodeUnknown,
    CodeUsed,
    PairingFault,
    TooManyTries,
    UnknownDevice,
    UnknownPlot,
)
from underboard.store import db, people
from underboard.store.tables import AuditRow, DeviceRow, PairingCodeRow

pytestmark = pytest.mark.usefixtures("database_app")


def sha(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def test_a_code_lets_one_device_in_and_its_token_is_kept_as_a_hash_only() -> None:
    plot = people.create_plot()
    code = people.new_code(plot, "helper", NOW)
    paired = people.use_code(code.code, "Bo's phone", "token", NOW)
    assert (paired.plot_id, paired.role, paired.claimed) == (plot, "helper", False)
    device = people.device_for(sha(paired.token))
    assert device is not None and (device.id, device.name) == (paired.device_id, "Bo's phone")
    with db.engine.connect() as connection:
        stored = [*connection.execute(select(DeviceRow)), *connection.execute(select(PairingCodeRow))]
    assert not any(secret in str(row) for row in stored for secret in (paired.token, code.code))
    with pytest.raises(CodeUsed):
        people.use_code(code.code, "another", "token", NOW)


def test_a_claim_makes_a_plot_and_its_owner() -> None:
    paired = people.use_code(people.new_code(None, "owner", NOW).code, "first", "cookie", NOW)
    assert paired.claimed and people.plots() == [paired.plot_id]
    assert [device.role for device in people.devices(paired.plot_id)] == ["owner"]


@pytest.mark.parametrize("claim", [True, False])
def test_of_many_that_use_one_code_at_once_one_gets_in(database_app: Flask, claim: bool) -> None:
    plot = None if claim else people.create_plot()
    code = people.new_code(plot, "owner", NOW).code
    outcomes: list[object] = []
    start = threading.Barrier(32)

    def use() -> None:
        with database_app.app_context():
            start.wait()
            try:
                outcomes.append(people.use_code(code, "phone", "token", NOW))
            except PairingFault as fault:
                outcomes.append(fault)

    threads = [threading.Thread(target=use) for _ in range(32)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(isinstance(outcome, people.Paired) for outcome in outcomes) == 1
    assert sum(isinstance(outcome, CodeUsed) for outcome in outcomes) == 31
    assert len(people.plots()) == 1


def test_a_code_runs_out_after_ten_minutes() -> None:
    plot = people.create_plot()
    code = people.new_code(plot, "helper", NOW)
    assert code.expires_at == NOW + timedelta(minutes=10)
    with pytest.raises(CodeExpired):
        people.use_code(code.code, "late", "token", NOW + timedelta(minutes=10))
    assert people.use_code(code.code, "in time", "token", NOW + timedelta(minutes=9, seconds=59))


def test_a_short_code_is_typed_as_people_type() -> None:
    plot = people.create_plot()
    code = people.new_code(plot, "helper", NOW, typed=True).code
    assert len(code.replace("-", "")) == 8
    assert people.use_code(f" {code.lower().replace('-', ' ')} ", "phone", "token", NOW).plot_id == plot


def test_five_wrong_guesses_burn_the_short_codes_that_are_open() -> None:
    plot = people.create_plot()
    short, long = people.new_code(plot, "helper", NOW, typed=True), people.new_code(plot, "helper", NOW)
    for _ in range(5):
        with pytest.raises(CodeUnknown):
            people.use_code("AAAA-AAAA", "guesser", "token", NOW)
    with pytest.raises(TooManyTries):
        people.use_code(short.code, "phone", "token", NOW)
    assert people.use_code(long.code, "phone", "token", NOW)  # 128 bits are not guessed


def test_a_device_that_was_put_out_is_not_known_any_more_and_the_others_are() -> None:
    plot, other = people.create_plot(), people.create_plot()
    gone, stays = (people.add_device(plot, name, "helper", NOW) for name in ("gone", "stays"))
    with pytest.raises(UnknownDevice):
        people.revoke(other, gone.device_id, NOW, "stranger")
    people.revoke(plot, gone.device_id, NOW, "owner")
    assert people.device_for(sha(gone.token)) is None
    assert people.device_for(sha(stays.token)) is not None
    assert [device.name for device in people.devices(plot)] == ["stays"]
    with pytest.raises(UnknownDevice):
        people.revoke(plot, gone.device_id, NOW, "owner")
    with db.engine.connect() as connection:
        lines = list(connection.scalars(select(AuditRow.what).order_by(AuditRow.id)))
    assert lines == ["paired", "paired", "revoked"]


def test_a_code_for_a_plot_that_is_not_here() -> None:
    with pytest.raises(UnknownPlot):
        people.new_code("nowhere", "helper", NOW)


def test_a_visit_is_noted() -> None:
    plot = people.create_plot()
    paired = people.add_device(plot, "phone", "helper", NOW)
    people.touch(paired.device_id, NOW + timedelta(hours=3))
    device = people.device_for(sha(paired.token))
    assert device is not None and device.last_seen_at == NOW + timedelta(hours=3)
    assert device.last_push_at is None


def test_ids_are_uuids_of_version_7_that_begin_with_the_time() -> None:
    # RFC 9562 appendix A.6: the time 0x017F22E279B0 is 2022-02-22T19:22:22.000Z
    from datetime import UTC, datetime

    made = people.new_id(datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC))
    assert made.startswith("017f22e2-79b0-7")
    assert made[19] in "89ab"
