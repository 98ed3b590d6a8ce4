"""What one running app holds: settings, clock, limits, counters. Views ask `services()` for it."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING, cast

from flask import current_app

from underboard.certificates.keeping import Keeper
from underboard.config import Settings
from underboard.web.kept_answers import KeptAnswers
from underboard.web.limits import Limits
from underboard.web.tallies import Tallies
from underboard.web.wellness import Wellness
from underboard.web.windows import Windows

if TYPE_CHECKING:
    from underboard.store.blobs import BlobStore

EXTENSION = "underboard"


class Together:
    """What all workers of a server share; made before they are forked."""

    def __init__(self, *, shared: bool = False) -> None:
        self.windows = Windows(shared=shared)
        self.tallies = Tallies(shared=shared)


def utc_now() -> datetime:
    """The wall clock, aware and in UTC."""
    return datetime.now(UTC)


@dataclass
class Services:
    """One per app. Tests hand in their own `now` and `monotonic`."""

    settings: Settings
    server_id: str
    blobs: BlobStore
    now: Callable[[], datetime] = utc_now
    monotonic: Callable[[], float] = time.monotonic
    https: bool = False
    together: Together = field(default_factory=Together)
    kept_answers: KeptAnswers = field(default_factory=KeptAnswers)
    limits: Limits = field(init=False)
    wellness: Wellness = field(init=False)
    keeper: Keeper = field(init=False)

    def __post_init__(self) -> None:
        self.keeper = Keeper(self.settings.data)
        self.wellness = Wellness(self.monotonic)
        self.limits = Limits(self.monotonic, active=self.settings.rate_limits, windows=self.together.windows)

    @property
    def tallies(self) -> Tallies:
        return self.together.tallies

    def https_addresses(self) -> list[str]:
        """Where phones find this server by https, the best first; empty when it does not speak it."""
        if not self.https:
            return []
        if self.settings.public_url.startswith("https://"):
            return [self.settings.public_url.rstrip("/")]
        shown = self.keeper.shown()
        return [f"https://{host}:{self.settings.https_port}" for host in (shown.hosts() if shown else [])]


def services() -> Services:
    """Services of the app that answers this request."""
    return cast(Services, current_app.extensions[EXTENSION])
