"""The honesty command: repeatable, and its committed table keeps what the calculations promise."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import underboard
from underboard.cli import honesty, honesty_alarms, honesty_intervals, honesty_trials
from underboard.core.agronomy.counts.count_summary import count_summary

PAGE = (Path(underboard.__file__).parent / "core" / "agronomy" / "HONESTY.md").read_text("utf-8")


def table(heading: str) -> list[dict[str, str]]:
    """The rows of the table below a heading of the committed page."""
    section = PAGE.split(f"## {heading}")[1].split("\n## ")[0]
    rows = [
        [cell.strip() for cell in row.strip("|").split("|")] for row in section.splitlines() if row[:1] == "|"
    ]
    return [dict(zip(rows[0], row, strict=True)) for row in rows[2:]]


@pytest.mark.parametrize("part", [honesty_intervals, honesty_trials, honesty_alarms])
def test_the_page_is_what_the_command_writes(part: object) -> None:
    """Prose, heads and lines; the figures themselves take minutes and are made by hand."""
    assert PAGE.startswith(
        f"# How honest the intervals and alarms are\n\nWritten by `underboard honesty --seed {honesty.USUAL_SEED}`"
    )
    before, after = part._TEXT.split("{table}")  # type: ignore[attr-defined]
    assert before in PAGE and after.strip() in PAGE
    assert len(table(before.splitlines()[0].removeprefix("## "))) == len(part.cells())  # type: ignore[attr-defined]


def test_calibrated_intervals_hold_what_they_promise() -> None:
    """93 to 98 % of 2,000 runs wherever counts are not tiny; above, two standard errors of room."""
    for row in table("Intervals of a mean (`count-summary`)"):
        held = float(row["calibrated"].rstrip("*"))
        assert held >= 93, row
        assert float(row["mean"]) < 2 or held <= 98.7, row
        outside = not 93 <= float(row["profile"].rstrip("*")) <= 98
        assert not outside or float(row["cautioned"]) > 20 or int(row["boards"]) == 30, row


@pytest.mark.parametrize("cell", [(9, 0.3, 2.0), (12, 1.0, 2.0), (6, 0.3, 0.5)])
def test_a_line_of_the_page_is_what_comes_out_again(cell: tuple[int, float, float]) -> None:
    """All 2,000 runs of a line, drawn and judged anew with the page's seed."""
    place = honesty_intervals.cells().index(cell)
    made = honesty_intervals.line(cell, (honesty.USUAL_SEED, place), 1.0)
    assert list(table("Intervals of a mean (`count-summary`)")[place].values()) == made


def test_poisson_intervals_do_not() -> None:
    """The trap that the fitted intervals are there to avoid."""
    clumped = [row for row in table("Intervals of a mean (`count-summary`)") if row["k"] in ("1", "0.3")]
    assert max(float(row["Poisson"].rstrip("*")) for row in clumped if float(row["mean"]) >= 2) < 90


def test_board_alarms_keep_to_their_aims() -> None:
    """At most one false alarm in 60 quiet rounds; threefold in 2 rounds 95 %, twofold in 3 rounds 80 %.

    With 500 runs two standard errors are 2 and 3.6 points, with 150 quiet seasons 0.16 alarms.
    """
    rows = [row for row in table("Alarms (`surge`)") if row["method"] == "boards"]
    assert len(rows) == 4
    for row in rows:
        assert float(row["false alarms in 60"]) <= 1.16, row
        assert float(row["threefold in 2 (%)"]) >= 95 - 2, row
        assert float(row["twofold in 3 (%)"]) >= 80 - 3.6, row


def test_a_line_depends_on_its_seed_alone() -> None:
    for part, share in ((honesty_intervals, 0.01), (honesty_trials, 0.02)):
        cell = part.cells()[4]
        assert part.line(cell, (7, 4), share) == part.line(cell, (7, 4), share)
    cell = ("A", 4.0, "CUSUM on totals")
    assert honesty_alarms.line(cell, (7, 4), 0.01) == honesty_alarms.line(cell, (7, 4), 0.01)


def test_a_season_has_the_spread_of_its_world() -> None:
    """World A: variance of a board m + m²/k; world B: boards keep their rank, totals vary by the nights alone."""
    rng = np.random.default_rng(9)
    a = honesty_alarms.draw(rng, "A", 4.0, np.ones(4000))
    seen = [x for row in a for x in row if x is not None]
    assert np.mean(seen) == pytest.approx(4, rel=0.03) and np.var(seen) == pytest.approx(
        4 + 16 / 0.8, rel=0.08
    )
    assert len(seen) / (4000 * 12) == pytest.approx(0.9, abs=0.01)
    b = honesty_alarms.draw(rng, "B", 4.0, np.ones(4000))
    columns = np.array([[np.nan if x is None else x for x in row] for row in b])
    first, second = np.nanmean(columns[:2000], axis=0), np.nanmean(columns[2000:], axis=0)
    assert np.corrcoef(first, second)[0, 1] > 0.99


@pytest.mark.parametrize("k", [0.3, 1.0, 30.0])
def test_judging_by_the_fall_is_judging_by_the_limits(k: float) -> None:
    """What the table asks of the likelihood is what count-summary's limits say."""
    rng = np.random.default_rng(int(10 * k))
    for _ in range(60):
        counts = tuple(int(x) for x in rng.poisson(rng.gamma(k, 2 / k, 9)))
        found = count_summary(counts)
        judged = honesty_intervals.judged(counts, 2.0)
        limits = {
            "poisson": (found.poisson_low, found.poisson_high),
            "profile": (found.mean_low, found.mean_high),
            "calibrated": (found.mean_low_calibrated, found.mean_high_calibrated),
        }
        if found.total:
            limits["wald"] = (found.mean_low_wald or 0.0, found.mean_high_wald)
        for kind, (low, high) in limits.items():
            assert judged[kind] == (low <= 2 and (high is None or high >= 2)), (kind, counts)
        assert judged["cautioned"] == bool(found.cautions)


def test_shares_outside_the_band_are_starred() -> None:
    row = honesty_intervals.line((6, 0.3, 8.0), (1, 1), 0.02)
    assert row[:3] == ["6", "0.3", "8"] and row[3].endswith("*")
