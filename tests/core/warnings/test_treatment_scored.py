"""A treatment scored: the ratio and its interval against statsmodels, and an invented drench whose truth is known."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from tests.core.warnings.demo_plot import demo_records, digest_of_records
from tests.core.warnings.made_facts import DAY, ask, at, made, place, station, treatment, walk
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.facts_of import facts_of

ON = date(2026, 5, 6)
PLACES = (place("wall"), place("gate"))
BOARDS = tuple(station(f"{bed}{n}", place_id=bed) for bed in ("wall", "gate") for n in range(6))
AFTER = [8, 11, 14, 18, 23, 28, 33, 41]
BEFORE = [-26, -20, -13, -7, -1]


def drenched(ratio: float, seed: int = 4, after: list[int] | None = None, **more: Any) -> Facts:
    """Rounds with a common activity a night; the wall's boards are cut to `ratio` from day 7 on."""
    chance = np.random.default_rng(seed)
    rounds = []
    for n in [*BEFORE, *(AFTER if after is None else after)]:
        activity = chance.gamma(4, 1.5)
        mean = {"wall": activity * (ratio if n >= 7 else 1.0), "gate": activity}
        rounds.append(walk(ON + n * DAY, {one.id: int(chance.poisson(mean[one.place_id])) for one in BOARDS}))
    told = [treatment("t", ON, ["wall"], more.pop("controls", ["gate"]), **more)]
    return made(PLACES, BOARDS, rounds=rounds, treatments=told)


def reference(facts: Facts) -> tuple[float, float, float]:
    """Ratio with 95 % limits: statsmodels' quasi-binomial regression of the wall's share on before and after."""
    wall, gate, late = [], [], []
    for one in facts.rounds:
        age = (one.day - ON).days
        if -28 <= age <= 0 or 7 <= age <= 42:
            wall.append(sum(count.low for id_, count in one.boards.items() if id_.startswith("wall")))
            gate.append(sum(count.low for id_, count in one.boards.items() if id_.startswith("gate")))
            late.append(float(age > 0))
    model = sm.GLM(
        np.column_stack([wall, gate]), sm.add_constant(np.array(late)), family=sm.families.Binomial()
    )
    found = model.fit()
    spread = max(found.pearson_chi2 / found.df_resid, 1.0)
    error = found.bse[1] * np.sqrt(spread)
    t = stats.t.ppf(0.975, len(late) - 2)
    b = found.params[1]
    return float(np.exp(b)), float(np.exp(b - t * error)), float(np.exp(b + t * error))


@pytest.mark.parametrize("seed", range(8))
def test_ratio_and_interval_are_those_of_statsmodels(seed: int) -> None:
    facts = drenched(0.5, seed)
    due = ask("treatment_scored", facts, at(ON + 50 * DAY))[0][0]
    ratio, low, high = reference(facts)
    assert due.numbers["ratio"] == pytest.approx(ratio, rel=1e-6)
    assert due.numbers["ratio_low"] == pytest.approx(low, rel=1e-5)
    assert due.numbers["ratio_high"] == pytest.approx(high, rel=1e-5)
    assert due.numbers["percent_fewer"] == pytest.approx(100 * (1 - ratio), rel=1e-5)


def test_unlike_numbers_of_boards_are_evened_out() -> None:
    facts = drenched(0.5)
    thinner = [
        walk(
            one.day,
            {id_: c.low for id_, c in one.boards.items() if one.day < ON or id_ not in ("wall0", "wall1")},
        )
        for one in facts.rounds
    ]
    found = ask(
        "treatment_scored",
        made(PLACES, BOARDS, rounds=thinner, treatments=facts.treatments),
        at(ON + 50 * DAY),
    )
    assert found[0][0].numbers["ratio"] == pytest.approx(0.5, abs=0.12)


def test_the_interval_holds_the_truth_and_says_no_evidence_when_there_is_none() -> None:
    held = worked = 0
    runs = 120
    for seed in range(runs):
        due = ask("treatment_scored", drenched(1.0, seed), at(ON + 50 * DAY))[0][0]
        held += due.numbers["ratio_low"] <= 1 <= due.numbers["ratio_high"]
        worked += due.numbers["verdict"] == "worked"
    # 95 % of 120, three standard errors below; a false "worked" at most 2.5 %, three standard errors above.
    assert held / runs >= 0.89 and worked / runs <= 0.068


@pytest.mark.parametrize(("ratio", "verdict"), [(0.3, "worked"), (1.0, "no_evidence"), (3.0, "more_after")])
def test_the_verdict_in_words(ratio: float, verdict: str) -> None:
    due = ask("treatment_scored", drenched(ratio), at(ON + 50 * DAY))[0][0]
    n = due.numbers
    assert n["verdict"] == verdict and n["final"] and due.loud == (verdict != "no_evidence")
    few, many = round(100 * (1 - n["ratio_high"])), round(100 * (1 - n["ratio_low"]))
    words = {
        "worked": f"{few} to {many} % fewer slugs (95 % interval): it worked",
        "no_evidence": f"between {many} % fewer and {round(100 * (n['ratio_high'] - 1))} % more slugs",
        "more_after": f"{round(100 * (n['ratio_low'] - 1))} to {round(100 * (n['ratio_high'] - 1))} % more slugs",
    }
    assert words[verdict] in due.headline and "one comparison" in due.caution
    assert "5 valid rounds before and 8 rounds from day 7 to day 42" in due.why


def test_too_early_too_few_and_without_control() -> None:
    def why(facts: Facts, age: int) -> str:
        dues, helds = ask("treatment_scored", facts, at(ON + age * DAY))
        assert dues == []
        return helds[0].why_not

    assert "too early" in why(drenched(0.5), 6) and "13 May 2026" in why(drenched(0.5), 6)
    assert "2 valid rounds after it" in why(drenched(0.5, after=AFTER[:2]), 20)
    assert "were needed by 17 June 2026" in why(drenched(0.5, after=AFTER[:2]), 50)
    assert "no untreated place" in why(drenched(0.5, controls=[]), 30)
    none_before = drenched(0.5)
    none_before = made(PLACES, BOARDS, rounds=none_before.rounds[5:], treatments=none_before.treatments)
    assert "no valid round of the 28 days before" in why(none_before, 30)
    assert "No treatment" in why(drenched(0.5), 57)


def test_looks_before_the_end_are_quiet_and_say_so() -> None:
    due = ask("treatment_scored", drenched(0.3, after=AFTER[:4]), at(ON + 20 * DAY))[0][0]
    assert not due.loud and not due.numbers["final"] and "so far" in due.headline
    assert "until 17 June 2026 still come in" in due.why
    days = range(42, 57)
    keys = {ask("treatment_scored", drenched(0.3), at(ON + n * DAY))[0][0].key for n in days}
    assert keys == {"t"}


def test_what_else_was_done_is_said() -> None:
    facts = drenched(0.5)
    more = (*facts.treatments, treatment("m", ON + 10 * DAY, ["gate"], kind="mulch"))
    due = ask(
        "treatment_scored", made(PLACES, BOARDS, rounds=facts.rounds, treatments=more), at(ON + 50 * DAY)
    )[0][0]
    assert "the mulch on 16 May 2026" in due.why


def test_the_demos_drench_of_may_worked_about_as_it_was_invented() -> None:
    facts = facts_of(digest_of_records(demo_records()))
    dues, _ = ask("treatment_scored", facts, at(date(2026, 6, 25)))
    due = next(one for one in dues if "6 May 2026" in one.headline)
    # fixtures/demo/scenario.json: the drench of 6 May of the second season leaves 0.45 of the slugs.
    assert due.numbers["ratio_low"] < 0.45 < due.numbers["ratio_high"] < 1
    assert due.numbers["verdict"] == "worked"
