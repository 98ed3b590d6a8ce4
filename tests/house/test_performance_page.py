"""The page of measured figures says what the bench wrote, and nothing else."""

from __future__ import annotations

import json

from tests.bench.page import KEPT, PAGE, page


def test_the_page_is_made_from_the_figures() -> None:
    assert PAGE.read_text("utf-8") == page(json.loads(KEPT.read_text("utf-8")))
