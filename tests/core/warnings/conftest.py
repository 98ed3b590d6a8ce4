"""Whatever warning a test of the rules raises must be one that a German phone can say."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.core.warnings.german import unknown_in
from underboard.core.warnings.terms import Due

WORDED = ("headline", "why", "advice", "caution")


@pytest.fixture(autouse=True)
def every_warning_has_its_german_words(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Look at the words of each warning made while the test runs."""
    said: set[str] = set()
    make = Due.__init__

    def heard(self: Due, *args: Any, **fields: Any) -> None:
        make(self, *args, **fields)
        said.update(getattr(self, name) for name in WORDED)

    monkeypatch.setattr(Due, "__init__", heard)
    yield
    unknown = sorted({sentence for text in said for sentence in unknown_in(text)})
    assert not unknown, "no German for:\n" + "\n".join(unknown)
