"""The page of replays over public data: python -m underboard.cli.replay_page writes it anew.

It lies beside the rules as REPLAY.md; a test holds it to what the command says.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import underboard
from underboard.cli.honesty import markdown
from underboard.cli.replay_sets import NIGHTS, replay_nights, replay_weeks
from underboard.core.warnings.replay import USUAL_COST, USUAL_LOSS

PAGE: Final = Path(underboard.__file__).parent / "core" / "warnings" / "REPLAY.md"
_HEAD: Final = ("data", "who", "n", "hits", "misses", "false", "quiet", "POD", "FAR", "CSI", "Brier", "cost")
_INTRODUCTION: Final = f"""# How the rules did on data of others

Written by `python -m underboard.cli.replay_page`; do not edit. Each night or week is decided from the ones before
it alone. Cost: {USUAL_COST:g} for each warning, {USUAL_LOSS:g} for each time it came unwarned (common practice, no
source). POD: share of events that were warned of; FAR: share of warnings that were for nothing; CSI: hits among hits,
misses and false alarms. Brier: mean squared error of the chance given, 0 is perfect; of "always" and "never" it is the
share of wrong answers. "-" is undefined."""
_FROST: Final = """## Frost

Air frost (below 0 °C) on nights from October to May at four airports (`fixtures/outside/frost_*.csv`: three typical
meteorological years of the National Renewable Energy Laboratory, and LaGuardia as observed in 2013), from the ninth
clear night on. The published method is the FAO two-step line through the earlier nights (2005), which warns when its
figure is below 0 °C. The rule gives a chance, and warns above cost/loss = 0.067, so it buys few misses with many false
alarms: that is what the costs ask for.

{clear}

How often frost came when the rule named a chance, on the clear nights of all four:

{reliability}

Clear here is known from the whole night, which nobody knows in the evening. Over **all** nights cloudy and windy ones
are foretold from the earlier cloudy and windy ones, by their own usual drop once there are eight; the published line is
put to work on nights it was not made for:

{every}

{every_reliability}

That is why the rule learns dull nights at all. A version that kept silent on them until the air itself was below
freezing had 63 hits and 48 misses here and cost 3292, more than always covering. A plot on which nobody reads on dull
evenings still has that gap: a temperature of its own (the setting `at_c`) fires whatever the sky."""
_SURGE: Final = """## Surge

Weekly cases of Salmonella Agona in the United Kingdom, 1990 to 1995 (R package surveillance), a week as a round and the
country as one board. The event is

> {event}.

A surge is one event however long it lasts. One board tells the rule nothing of the spread between boards, which it is
made for: this shows the method, not slugs.

{table}

With one or two events in the series nothing is proved about misses; what it shows is how often each method cries out in
quiet weeks."""


def page() -> str:
    """Return the page as Markdown."""
    sets = {name: replay_nights(name, USUAL_COST, USUAL_LOSS) for name in (*NIGHTS, "all")}
    weeks = {
        name: replay_weeks(method, USUAL_COST, USUAL_LOSS)
        for name, method in (("weeks 21 to 312", "ears_c2"), ("weeks 209 to 312", "farrington"))
    }
    frost = _FROST.format(
        clear=_table(sets),
        reliability=_reliability(sets["all"]["reliability"]),
        every_reliability=_reliability(sets["all"]["all_nights"]["reliability"]),
        every=_table({name: found["all_nights"] for name, found in sets.items()}),
    )
    surge = _SURGE.format(event=next(iter(weeks.values()))["event"], table=_table(weeks))
    return "\n\n".join((_INTRODUCTION, frost, surge)) + "\n"


def _table(sets: Mapping[str, Mapping[str, Any]]) -> str:
    return markdown(_HEAD, [row for name, found in sets.items() for row in _rows(name, found)])


def _rows(name: str, found: Mapping[str, Any]) -> Iterator[Sequence[str]]:
    beside = found["beside"]
    published = beside["published"]["method"].split(" (")[0]
    yield _row(name, "**the rule**", found["n"], found, found["brier"])
    for who, table in (
        (published, beside["published"]),
        ("always", beside["always"]),
        ("never", beside["never"]),
    ):
        yield _row("", who, found["n"], table, (table["misses"] + table["false_alarms"]) / found["n"])


def _row(name: str, who: str, n: int, table: Mapping[str, Any], brier: float) -> list[str]:
    counts = [str(table[key]) for key in ("hits", "misses", "false_alarms", "correct_negatives")]
    shares = ["-" if table[key] is None else f"{table[key]:.2f}" for key in ("pod", "far", "csi")]
    return [name, who, str(n), *counts, *shares, f"{brier:.3f}", f"{table['cost']:g}"]


def _reliability(classes: Sequence[Mapping[str, Any]]) -> str:
    head = ("chance named", "nights", "mean chance (%)", "frost came (%)")
    rows = [
        [
            f"{one['from']:.1f} to {one['to']:.1f}",
            str(one["n"]),
            *(f"{100 * one[key]:.0f}" for key in ("mean_p", "observed")),
        ]
        for one in classes
    ]
    return markdown(head, rows)


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
    print(PAGE)
