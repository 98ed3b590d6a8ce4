"""The household that is attacked; one a file, on SQLite: who may do what does not depend on the database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.attacks.household import Household, household


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Iterator[Household]:
    with household(tmp_path_factory.mktemp("attacked"), migrated_sqlite) as made:
        yield made
