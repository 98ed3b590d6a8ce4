"""10 of the ten nastiest: random histories of three or four phones, a failing network, a server restored under them.

Nothing is lost, nothing is overwritten unseen, nothing removed comes back, no operation changes once it was sent, no
row goes back, no pull changes what is being typed, all end up with the same; each of fifteen wrong rules is caught.

More seeds by hand: `tests/faults/run --seeds 10000 --database postgres --from 100000`.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.faults import campaign
from tests.faults.child import bundle, histories
from tests.faults.house import House
from tests.faults.server_bugs import SERVER_BUGS, planted

# With those on PostgreSQL, which stand in a file of their own so that another process can run them, 2,000.
N = 1200


@pytest.mark.histories
@pytest.mark.timeout(3600)
def test_random_histories_lose_nothing() -> None:
    """A failure names its seed; `tests/faults/run --from SEED --seeds 1` repeats it, but for what goes on at once."""
    outcome = campaign.campaign("sqlite", 0, N, jobs=2)
    assert {verdict.seed: [*verdict.findings[:2], verdict.findings[-1]] for verdict in outcome.failing} == {}


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The phones, bundled."""
    return bundle(tmp_path_factory.mktemp("phones"))


COMMON = (
    "lww", "resurrect", "bring_back", "no_hash", "by_device", "no_archive", "cursor_first",
    "bare_view", "older_copy", "freshened",
)  # fmt: skip
# Rare in random histories: these have a story of their own.
RARE = {
    "launder": "test_01_laundered_conflict",
    "ack_base": "test_01_laundered_conflict",
    "blind_form": "test_01_laundered_conflict",
    "no_idem": "test_02_lost_answer_and_foreign_edit",
    "replay_view": "test_04_restored_under_phones",
}


def test_all_planted_bugs_are_caught_by_something() -> None:
    here = Path(__file__).parent
    assert len({*COMMON, *RARE}) == 15 and set(SERVER_BUGS) <= {*COMMON, *RARE}
    client = (here.parent / "histories" / "bugs.ts").read_text()
    assert {*COMMON, *RARE} - set(SERVER_BUGS) == set(re.findall(r"case '(\w+)'", client))
    for bug, story in RARE.items():
        assert f'"{bug}"' in (here / f"{story}.py").read_text()


@pytest.mark.parametrize("bug", COMMON)
def test_random_histories_find_a_planted_bug(bug: str, house: House, script: Path) -> None:
    """The oracle has eyes: a rule made wrong shows within a few histories.

    Each has a directed test as well: test_planted_bugs.py, on the phone conflicts.test.ts, pull.test.ts and
    restore.test.ts.
    """
    with planted(bug):
        found = next((v for v in histories(house, script, range(60), bug) if v.findings), None)
    assert found is not None
    assert {finding["kind"] for finding in found.findings} <= {
        "LOST",
        "SWALLOWED",
        "RESURRECTED",
        "SILENT OVERWRITE",
        "DIVERGED",
        "STUCK",
        "REWRITTEN",
        "BACKWARDS",
        "DISTURBED",
    }
