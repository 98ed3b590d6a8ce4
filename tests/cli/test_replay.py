"""The command replay, and its page of figures over public data."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from underboard.cli import main
from underboard.cli.replay_page import PAGE, page
from underboard.cli.replay_sets import replay_nights


def test_the_page_is_what_the_replays_say() -> None:
    assert PAGE.read_text("utf-8") == page(), "python -m underboard.cli.replay_page writes it anew"


def test_public_nights_add_up(capsys: pytest.CaptureFixture[str]) -> None:
    """96 clear nights at Greensboro (fixtures/outside/frost_greensboro.json), the first eight to learn from."""
    assert main(["replay", "--rule", "frost", "--nights", "greensboro", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["n"] == 96 - 8
    for table in (found, *found["beside"].values()):
        assert (
            sum(table[key] for key in ("hits", "misses", "false_alarms", "correct_negatives")) == found["n"]
        )
        assert table["hits"] + table["misses"] == found["hits"] + found["misses"]
    assert found["beside"]["always"]["cost"] == 4 * found["n"]
    assert found["beside"]["never"]["cost"] == 60 * (found["hits"] + found["misses"])


def test_the_rule_is_cheaper_than_the_published_line_and_than_doing_without() -> None:
    """What it is for: cost and loss weighed by a chance that can be believed; on clear nights and on all."""
    clear = replay_nights("all", 4, 60)
    for found in (clear, clear["all_nights"]):
        assert found["cost"] < min(found["beside"][who]["cost"] for who in ("published", "always", "never"))
        assert found["brier"] < found["brier_climatology"] / 2
        assert found["pod"] > 0.9


def test_a_file_of_nights(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Ten clear nights that all fall by exactly five degrees: the drop is certain, so is the answer."""
    rows = [f"{t},0,{t - 5},True" for t in (9, 8, 7, 6, 5.5, 6.5, 7.5, 8.5, 3, 8)]
    path = tmp_path / "nights.csv"
    path.write_text("T0_C,Td0_C,Tmin_C,clear\n" + "\n".join(rows) + "\n", "utf-8")
    assert main(["replay", "--rule", "frost", "--nights", str(path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["n"], found["hits"], found["correct_negatives"], found["brier"]) == (2, 1, 1, 0.0)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--rule", "frost", "--nights", "nowhere.csv"], "there is no file"),
        (["--rule", "surge", "--nights", "all"], "goes with the rule frost"),
        (["--rule", "frost", "--nights", "all", "--cost", "-1"], "from 0 up"),
    ],
)
def test_nonsense_is_refused_in_a_sentence(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["replay", *words]) == 2
    assert said in capsys.readouterr().err
