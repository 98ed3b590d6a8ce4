"""Reports in German: every sentence has its words, numbers and days their form, and what people wrote stays theirs."""

from __future__ import annotations

import ast
import json
import re
from datetime import UTC, date, datetime
from pathlib import Path
from string import Formatter
from typing import Any

import pytest

from deploy.german_phrases import TARGET, made
from tests.attacks.household import Household, household
from underboard.core.records.done import TREATMENT_KINDS
from underboard.core.warnings.rules import ALL
from underboard.core.warnings.traps_seen import _FLAW_WORDS
from underboard.exchange.demo import scenario_ops
from underboard.exchange.holding import Holding
from underboard.exchange.report import reports
from underboard.exchange.report.as_html import as_html
from underboard.exchange.report.as_pdf import as_pdf
from underboard.exchange.report.german import GERMAN
from underboard.exchange.report.german_words import COUNTED, WORDS
from underboard.exchange.report.parts import Grid, Label, Picture, Report
from underboard.exchange.report.reports import season, week
from underboard.exchange.report.tongue import ENGLISH

ROOM = Path(reports.__file__).parent
PLOT = "01890000-0000-7000-8000-000000000000"
NOW = datetime(2026, 11, 26, 10, 0, tzinfo=UTC)
#: Words that German has not: whoever leaves a sentence in English leaves one of them.
ENGLISH_WORDS = re.compile(
    r"\b(the|and|of|with|were|not|none|than|or|is|it|they|which|too|no|to|days?|boards?|slugs?|traps?)\b"
)


@pytest.fixture(scope="module")
def demo() -> Holding:
    records: dict[str, dict[str, Any]] = {}
    for _, op in scenario_ops(PLOT, ("a", "b", "c"), date(2026, 11, 25)):
        one = records.setdefault(
            op["id"], {"id": op["id"], "type": op["type"], "rev": 1, "body": {}, "conflicts": []}
        )
        one["body"].update(op.get("set") or {})
    return Holding(PLOT, list(records.values()))


def texts(report: Report) -> list[str]:
    """Every text of a report."""
    found = [report.title, report.subtitle, report.foot]
    for section in report.sections:
        found.append(section.title)
        for block in section.blocks:
            if isinstance(block, Grid):
                found += [*block.heads, *(cell for row in block.rows for cell in row)]
            elif isinstance(block, Picture):
                found += [block.words, *(s.text for s in block.drawing.shapes if isinstance(s, Label))]
            else:
                found.append(block.text)
    return found


def asked() -> set[str]:
    """Every sentence that the room's code says, wherever it stands as it is."""
    found = set()
    for file in ROOM.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
                name = getattr(node.func, "attr", getattr(node.func, "id", ""))
                if name == "say" and isinstance(node.args[0].value, str):
                    found.add(node.args[0].value)
    return found


def test_the_book_is_the_phones() -> None:
    assert TARGET.read_text("utf-8") == made(), "run python -m deploy.german_phrases"
    told = json.loads(TARGET.read_text("utf-8"))
    source = (TARGET.parents[4] / "pwa/src/text/de/values.ts").read_text("utf-8")
    assert len(told["values"]) == len(re.findall(r"/(?:gu?)?,", source.split("export function")[0]))
    assert set(told["titles"]) == {rule.name for rule in ALL}


def test_every_sentence_has_its_german_with_the_same_places() -> None:
    said = asked()
    assert len(said) > 100
    named = {*(kind.replace("_", " ") for kind in TREATMENT_KINDS), *_FLAW_WORDS.values()}
    assert said | named <= set(WORDS), sorted((said | named) - set(WORDS))
    for english, german in WORDS.items():
        places = [
            {place for _, place, _, _ in Formatter().parse(text) if place} for text in (english, german)
        ]
        assert places[0] == places[1], english
        assert english != german or english in ("Mulch", "Thermometer"), english
    assert set(COUNTED) == {"round", "warning", "treatment"}


@pytest.mark.parametrize("about", ["week", "season"])
def test_the_demo_plot_in_german_keeps_its_figures_and_leaves_no_english(demo: Holding, about: str) -> None:
    make, of = (week, date(2026, 9, 1)) if about == "week" else (season, 2026)
    english, german = make(demo, of, NOW, ENGLISH), make(demo, of, NOW, GERMAN)  # type: ignore[operator]
    both = list(zip(texts(english), texts(german), strict=True))
    assert [len(one.blocks) for one in english.sections] == [len(one.blocks) for one in german.sections]
    people = {str(value) for one in demo.records for value in one["body"].values() if isinstance(value, str)}
    for theirs, ours in both:
        assert ours in people or not ENGLISH_WORDS.search(ours.replace("underboard calc", "")), (theirs, ours)
        assert not re.search(r"\d\.\d(?!\d\d)", ours), ours  # a comma before the tenths
        assert re.sub(r"\D", "", theirs) == re.sub(r"\D", "", ours) or "public" in theirs, (theirs, ours)
    page = as_html(german)
    assert '<html lang="de">' in page and as_pdf(german, NOW).startswith(b"%PDF-")


def test_what_people_wrote_is_not_translated() -> None:
    names = [("place", "Slugs"), ("station", "none found"), ("plot", "Warnings")]
    records = [
        {"id": PLOT[:-1] + str(n), "type": kind, "rev": 1, "conflicts": [],
         "body": {"label": name, "name": name, "kind": {"station": "thermometer", "place": "bed"}.get(kind)}}
        for n, (kind, name) in enumerate(names, 1)
    ]  # fmt: skip
    records[2]["id"] = PLOT
    read = {"station_id": PLOT[:-1] + "2", "observed_at": "2026-05-03T05:20:00+01:00",
            "min": {"value": -1.5, "unit": "degC"}}  # fmt: skip
    mulch = {"kind": "mulch", "place_ids": [PLOT[:-1] + "1"], "observed_at": "2026-05-03T05:20:00+01:00"}
    records += [
        {"id": PLOT[:-1] + "8", "type": "temperature", "rev": 1, "conflicts": [], "body": read},
        {"id": PLOT[:-1] + "9", "type": "treatment", "rev": 1, "conflicts": [], "body": mulch},
    ]
    told = week(Holding(PLOT, records), date(2026, 5, 5), NOW, GERMAN)
    said = texts(told)
    assert told.title == "Die Woche: Warnings" and "Slugs" in said and "none found" in said
    assert "-1,5" in said and "3. Mai 2026" in said and "Mulch" in said


def test_numbers_days_and_lists() -> None:
    assert GERMAN.day(date(2026, 3, 1)) == "1. März 2026"
    assert (
        GERMAN.interval(2.34, 1.0, None) == "2,3 (1,0 oder mehr)" and GERMAN.interval(None, None, None) == ""
    )
    assert GERMAN.share(0.004, 0.0, 0.995) == "unter 1 % (0 % bis über 99 %)"
    assert GERMAN.count(1, "round") == "1 Runde" and GERMAN.count(2, "round") == "2 Runden"
    assert GERMAN.listed(["a", "b", "c"], 2) == "a, b und 1 weitere" and GERMAN.listed(["a"]) == "a"
    assert GERMAN.said("Mind ice on paths at dawn.") == "Achte im Morgengrauen auf Eis auf den Wegen."
    assert (
        GERMAN.said("Nobody wrote this sentence down anywhere.")
        == "Nobody wrote this sentence down anywhere."
    )


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Any:
    with household(tmp_path_factory.mktemp("german"), migrated_sqlite) as made_house:
        yield made_house


@pytest.mark.parametrize(
    ("query", "wished", "got"),
    [
        ("", None, "en"), ("", "de-AT,en;q=0.5", "de"), ("", "fr", "en"), ("?language=en", "de", "en"),
        ("?language=de", None, "de"),
    ],
)  # fmt: skip
def test_the_server_answers_in_the_language_that_was_asked(
    house: Household, query: str, wished: str | None, got: str
) -> None:
    headers = {"Accept-Language": wished} if wished else {}
    answer = house.ask("reader", "GET", f"/api/v1/plots/{house.plot_id}/report/week{query}", headers=headers)
    assert answer.headers["Content-Language"] == got and "Accept-Language" in answer.headers["Vary"]
    assert f'<html lang="{got}">' in answer.text and ("Vorsicht" in answer.text) is (got == "de")
    wrong = house.ask("reader", "GET", f"/api/v1/plots/{house.plot_id}/report/week?language=tlh")
    assert wrong.status_code == 422
