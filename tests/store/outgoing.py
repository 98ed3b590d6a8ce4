"""A plot with warnings, phones and mail addresses, for tests of what goes out."""

from __future__ import annotations

import itertools
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from tests.notify.subscriber import Subscriber
from underboard.store import deliveries, outbox, people, targets
from underboard.store.database import reading, writing
from underboard.store.deliveries import News
from underboard.store.outbox import Parcel
from underboard.store.server_records import Write, lock_plot, write_records
from underboard.store.tables import DeliveryRow

LONDON = ZoneInfo("Europe/London")
NOON = datetime(2026, 5, 12, 11, 0, tzinfo=UTC)
_numbers = itertools.count(1)


@dataclass
class Outgoing:
    """One plot, on whatever database the test runs."""

    plot_id: str = field(default_factory=people.create_plot)

    def phone(self, name: str = "phone", endpoint: str | None = None) -> str:
        """Pair a phone that takes notices; return its id."""
        device = people.add_device(self.plot_id, name, "owner", NOON).device_id
        self.subscribe(device, endpoint)
        return device

    def subscribe(
        self, device: str, endpoint: str | None = None, keys: Mapping[str, str] | None = None
    ) -> None:
        keys = keys or Subscriber().keys
        where = endpoint or f"https://fcm.googleapis.com/{next(_numbers)}"
        targets.subscribe_phone(self.plot_id, device, where, keys["p256dh"], keys["auth"], NOON)

    def mail(self, address: str = "may@example.org") -> str:
        return targets.add_address(self.plot_id, address, NOON)

    def write(self, type_name: str, set_: Mapping[str, Any], id_: str | None = None) -> str:
        """Write a record as the server does; return its id."""
        id_ = id_ or str(uuid.uuid4())
        with writing() as connection:
            lock_plot(connection, self.plot_id)
            write = Write(str(uuid.uuid4()), type_name, id_, set_)
            assert write_records(connection, self.plot_id, [write], NOON)
        return id_

    def warning(self, headline: str = "Frost likely", **changes: Any) -> str:
        body = {"rule": "frost", "headline": headline, "raised_at": NOON.isoformat(), "severity": "Moderate"}
        return self.write("warning", {**body, **changes})

    def plan(
        self,
        *warning_ids: str,
        now: datetime = NOON,
        watch: Mapping[str, Any] | None = None,
        stage: str = "raised",
        wakes: bool = False,
        hours: float = 24,
    ) -> int:
        """Plan messages about warnings; return how many are new."""
        news = [
            News(
                warning_id=id_,
                rule="frost",
                stage=stage,
                window_end=NOON + timedelta(hours=hours),
                wakes=wakes,
            )
            for id_ in warning_ids
        ]
        watches = {"frost": watch} if watch is not None else {}
        with writing() as connection:
            lock_plot(connection, self.plot_id)
            return deliveries.plan_deliveries(connection, self.plot_id, news, watches, now, LONDON)

    def lease(self, minutes: float = 0, served: frozenset[tuple[str, str]] = frozenset()) -> Parcel | None:
        return outbox.lease_due(NOON + timedelta(minutes=minutes), served)

    def must_lease(self, minutes: float = 0) -> Parcel:
        parcel = self.lease(minutes)
        assert parcel is not None
        return parcel

    def states(self) -> list[str]:
        """States of all deliveries, sorted."""
        with reading() as connection:
            return sorted(row.state for row in connection.execute(DeliveryRow.__table__.select()))

    def standing(self, target_id: str) -> targets.Standing:
        (found,) = [one for one in targets.standings(self.plot_id) if one.id == target_id]
        return found


def headlines(parcel: Parcel | None) -> list[str]:
    assert parcel is not None
    return sorted(item["headline"] for item in parcel.items)
