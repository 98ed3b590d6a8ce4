"""How good has a rule been on this plot so far?

A rule is judged by windows that are over: was there a warning in time, and did it come? What people answered
to a warning wins over the thermometer: they saw the place and the crop, it hangs somewhere near. The newest
answer counts; "not known" is none. A rule whose windows nobody but people can judge has answered warnings
alone: hits and false alarms, and no misses that anybody could know of.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from underboard.core.agronomy.judged.verify import verify
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.frost_judged import frost_windows, ground_frost_windows
from underboard.core.warnings.plot_time import day_of
from underboard.core.warnings.windows import Window, in_time
from underboard.core.warnings.wording import day_words, times

#: Rules whose windows can be judged without people.
JUDGES: Final[Mapping[str, Callable[[Facts], Iterable[Window]]]] = {
    "frost": frost_windows,
    "ground_frost": ground_frost_windows,
}


@dataclass(frozen=True)
class Score:
    """A two-by-two table of a rule on one plot. `since`: the beginning of the first window that was judged."""

    rule: str
    hits: int
    misses: int
    false_alarms: int
    correct_negatives: int
    since: datetime | None
    answered: int
    """Windows that people's answers judged."""


def windows_of(facts: Facts, rule: str) -> list[Window]:
    """Return the judged windows of a rule, people's answers taken in, in order of time."""
    said = answers_of(facts)
    judge = JUDGES.get(rule)
    found = {one.key: one for one in judge(facts)} if judge is not None else {}
    for warning in facts.standing:
        outcome = said.get(warning.id)
        if warning.rule != rule or outcome is None or warning.window_end is None:
            continue
        start = warning.window_start or warning.raised_at
        known = found.get(warning.key)
        warned = in_time(warning) if known is None else known.warned
        found[warning.key] = Window(warning.key, start, warned, outcome == "happened", True)
    return sorted(found.values(), key=lambda one: (one.start, one.key))


def answers_of(facts: Facts) -> dict[str, str]:
    """Return what people say became of each warning, by warning id: the newest answer that says something."""
    found: dict[str, str] = {}
    for reply in facts.replies:
        if reply.outcome in ("happened", "did_not_happen"):
            found[reply.warning_id] = reply.outcome
    return found


def score_of(rule: str, windows: Iterable[Window]) -> Score:
    """Count windows into a two-by-two table."""
    known = list(windows)
    return Score(
        rule=rule,
        hits=sum(one.warned and one.came for one in known),
        misses=sum(not one.warned and one.came for one in known),
        false_alarms=sum(one.warned and not one.came for one in known),
        correct_negatives=sum(not one.warned and not one.came for one in known),
        since=min((one.start for one in known), default=None),
        answered=sum(one.answered for one in known),
    )


def scores_of(facts: Facts) -> dict[str, dict[str, Any]]:
    """Return the score of every rule that has been judged at all, as JSON, by rule."""
    rules = sorted({*JUDGES, *(one.rule for one in facts.standing)})
    found = {}
    for rule in rules:
        windows = windows_of(facts, rule)
        if windows:
            found[rule] = fields_of(facts, score_of(rule, windows))
    return found


def fields_of(facts: Facts, score: Score) -> dict[str, Any]:
    """Return a score as JSON with its shares and one sentence; undefined shares are null."""
    told = verify(score.hits, score.false_alarms, score.misses, score.correct_negatives)
    return {
        "hits": score.hits,
        "misses": score.misses,
        "false_alarms": score.false_alarms,
        "correct_negatives": score.correct_negatives,
        "n": told.n,
        "pod": told.pod,
        "far": told.far,
        "csi": told.csi,
        "answered": score.answered,
        "since": None if score.since is None else score.since.isoformat(),
        "words": words_of(facts, score),
    }


def words_of(facts: Facts, score: Score) -> str:
    """Say it: "Since 1 April 2026: 4 came and were warned of, 1 came unwarned, 3 warnings were for nothing."."""
    since = "So far" if score.since is None else f"Since {day_words(day_of(facts, score.since))}"
    said = (
        f"{since}: {score.hits} came and {_was(score.hits)} warned of, {score.misses} came unwarned, "
        f"{times(score.false_alarms, 'warning')} {_was(score.false_alarms)} for nothing."
    )
    events = score.hits + score.misses
    if events + score.false_alarms < FEW:
        said += " Too few yet to tell how good it is."
    return said


#: Fewer events and false alarms than this, and one more or less would turn the judgement round.
FEW: Final = 5


def _was(n: int) -> str:
    return "was" if n == 1 else "were"
