"""Reports: numbers against a plain reckoning, nothing that people wrote is markup, page and PDF from the same parts."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import statistics
import zlib
from collections import defaultdict
from datetime import UTC, date, datetime, timedelta
from html import escape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from scipy import stats

from tests.attacks.hostile import WORDS, hostile_records
from tests.attacks.household import Household, household
from tests.exchange.made_plots import MadePlot
from underboard.cli import main
from underboard.exchange.demo import scenario_ops
from underboard.exchange.holding import Holding
from underboard.exchange.report.as_html import STYLE, as_html
from underboard.exchange.report.as_pdf import as_pdf
from underboard.exchange.report.chart import HEIGHT, WIDTH, Point, Series, time_chart
from underboard.exchange.report.parts import Dot, Grid, Label, Line, Picture, Report, Section, Words
from underboard.exchange.report.reports import products, season, week
from underboard.exchange.report.slugs import spell_mean
from underboard.exchange.report.tongue import ENGLISH

PLOT = "01890000-0000-7000-8000-000000000000"
NOW = datetime(2026, 11, 26, 10, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo() -> Holding:
    records: dict[str, dict[str, Any]] = {}
    for _, op in scenario_ops(PLOT, ("a", "b", "c"), date(2026, 11, 25)):
        one = records.setdefault(
            op["id"], {"id": op["id"], "type": op["type"], "rev": 1, "body": {}, "conflicts": []}
        )
        one["body"].update(op.get("set") or {})
    return Holding(PLOT, list(records.values()))


@pytest.fixture(scope="module")
def of_2026(demo: Holding) -> Report:
    return season(demo, 2026, NOW)


def grid(report: Report, title: str, head: str) -> Grid:
    (section,) = [one for one in report.sections if one.title == title]
    return next(block for block in section.blocks if isinstance(block, Grid) and block.heads[0] == head)


def words(section: Section) -> str:
    return " ".join(block.text for block in section.blocks if isinstance(block, Words))


@pytest.mark.parametrize("values", [[1.0, 2.0, 4.5], [0.0, 0.0, 0.3, 0.1], [8.0, 9.5, 7.0, 11.0, 6.5, 10.0]])
def test_the_interval_of_a_spell_is_students(values: list[float]) -> None:
    found = spell_mean(values)
    low, high = stats.t.interval(0.95, len(values) - 1, loc=statistics.fmean(values), scale=stats.sem(values))
    assert (found.mean, found.high) == pytest.approx((statistics.fmean(values), high))
    assert found.low == pytest.approx(max(low, 0.0))


def test_two_rounds_have_no_interval_and_none_is_not_zero() -> None:
    assert spell_mean([1.0, 3.0]).low is None and spell_mean([]).mean is None
    given = ((None, None, None), (2.0, None, None), (2.0, 1.0, None), (2.0, 1.0, 12.4))
    assert [ENGLISH.interval(*one) for one in given] == ["", "2.0", "2.0 (1.0 or more)", "2.0 (1.0 to 12)"]


def test_a_month_is_what_its_boards_add_up_to(demo: Holding, of_2026: Report) -> None:
    rounds = {one["id"]: one["body"] for one in demo.of("round")}
    by_round: dict[str, list[int]] = defaultdict(list)
    for count in demo.of("slug_count"):
        body, walk = count["body"], rounds.get(count["body"]["round_id"], {})
        if (
            walk.get("kind") == "dawn"
            and walk["observed_at"][:7] == "2026-05"
            and walk.get("valid") is not False
            and body["state"] in ("counted", "none_found")
        ):
            by_round[body["round_id"]].append(body.get("count", 0))
    means = [statistics.fmean(numbers) for numbers in by_round.values()]
    (may,) = [row for row in grid(of_2026, "Slugs", "Month").rows if row[0] == "May"]
    assert may[1:3] == (str(len(means)), str(sum(map(len, by_round.values()))))
    low, high = stats.t.interval(0.95, len(means) - 1, loc=statistics.fmean(means), scale=stats.sem(means))
    assert may[3] == f"{statistics.fmean(means):.1f} ({low:.1f} to {high:.1f})"


def test_each_treatment_has_its_evidence_or_why_there_is_none(of_2026: Report) -> None:
    told = grid(of_2026, "Treatments and their evidence", "When")
    assert all(row[4].endswith(".") for row in told.rows)
    drench = next(row for row in told.rows if row[1] == "nematodes")
    assert re.search(r"\d+ to \d+ % fewer slugs \(95 % interval\)", drench[4])
    # Sentences stand under their row, as wide as the table: a column of their own is a thread on a phone.
    assert f'<tr><td colspan="4">{told.heads[4]}: {escape(drench[4])}</td></tr>' in as_html(of_2026)


def test_the_week_says_when_nothing_is_known(demo: Holding) -> None:
    empty = week(demo, date(2026, 1, 31), NOW)
    told = {section.title: words(section) for section in empty.sections}
    assert "nothing is known" in told["Slugs"] and "not the same as none" in told["Slugs"]
    bare = week(Holding(PLOT, []), date(2026, 1, 31), NOW)
    assert "nothing is known" in words(bare.sections[0])
    full = week(demo, date(2026, 9, 1), NOW)
    assert len(grid(full, "Slugs", "Round").rows) == 4
    assert "95 % interval" in words(full.sections[0]) and "four weeks before" in words(full.sections[0])


def test_what_comes_later_is_not_known_yet(demo: Holding) -> None:
    later = [one for one in demo.records if str(one["body"].get("observed_at") or "") < "2026-06-01"]
    assert week(Holding(PLOT, later), date(2026, 5, 20), NOW) == week(demo, date(2026, 5, 20), NOW)


def test_the_record_of_products_has_what_growers_must_keep(demo: Holding) -> None:
    bed = {
        "id": PLOT[:-1] + "1",
        "type": "place",
        "rev": 1,
        "body": {"kind": "bed", "label": "Bed 3", "length_m": 6, "width_m": 2},
    }
    crop = {"id": PLOT[:-1] + "2", "type": "crop", "rev": 1,
            "body": {"kind": "lettuce", "place_id": bed["id"], "started_on": "2026-04-01"}}  # fmt: skip
    done = {"kind": "pellets", "product": "Ferric", "authorisation_number": "M 12345", "place_ids": [bed["id"]],
            "amount": {"value": 60, "unit": "g"}, "harvest_interval_days": 3, "observer": "Ann"}  # fmt: skip
    zone = {"id": PLOT, "type": "plot", "rev": 1, "body": {"name": "P", "time_zone": "Europe/London"}}
    at = {"full": "2026-05-03T20:15:00+01:00", "bare": "2026-06-01T08:00:00+01:00"}
    treated = [
        {"id": PLOT[:-1] + "3", "type": "treatment", "rev": 1, "body": {**done, "observed_at": at["full"]}},
        {
            "id": PLOT[:-1] + "4",
            "type": "treatment",
            "rev": 1,
            "body": {"kind": "pellets", "observed_at": at["bare"]},
        },
        {
            "id": PLOT[:-1] + "5",
            "type": "treatment",
            "rev": 1,
            "body": {"kind": "mulch", "observed_at": at["bare"]},
        },
    ]
    told = products(Holding(PLOT, [zone, bed, crop, *treated]), 2026, NOW)
    rows = grid(told, "Record", "Date and time").rows
    assert rows[0] == (
        "3 May 2026 20:15", "Ferric (M 12345)", "Bed 3; lettuce", "12", "60 g", "5 g", "", "3", "6 May 2026", "Ann", "",
    )  # fmt: skip
    assert (
        len(rows) == 2
        and rows[1][-1] == "product, authorisation number, place, area, amount, harvest interval"
    )
    assert "metaldehyde" in words(told.sections[-1])


def test_a_chart_shows_every_point_with_its_interval_and_no_line_over_a_gap() -> None:
    first = date(2026, 5, 1)
    points = [
        Point(first, 2.0, 1.0, 4.0),
        Point(first + timedelta(days=3), 5.0, 3.0, None),
        Point(first + timedelta(days=40), 0.0),
    ]
    drawing = time_chart(
        [Series("slugs", tuple(points))], "slugs a board", marks=[(first + timedelta(days=2), "mulch")]
    )
    assert drawing is not None
    dots = [shape for shape in drawing.shapes if isinstance(shape, Dot)]
    assert [dots[0].x < dots[1].x < dots[2].x, dots[1].y < dots[0].y < dots[2].y] == [True, True]
    for shape in drawing.shapes:
        if isinstance(shape, Line):
            assert min(shape.x1, shape.x2) >= 0 and max(shape.x1, shape.x2) <= WIDTH
            assert min(shape.y1, shape.y2) >= 0 and max(shape.y1, shape.y2) <= HEIGHT
    joined = [s for s in drawing.shapes if isinstance(s, Line) and (s.x1, s.y1) in {(d.x, d.y) for d in dots}
              and (s.x2, s.y2) in {(d.x, d.y) for d in dots}]  # fmt: skip
    assert [(s.x1, s.x2) for s in joined] == [(dots[0].x, dots[1].x)]
    assert "mulch" in [shape.text for shape in drawing.shapes if isinstance(shape, Label)]
    assert time_chart([Series("none", ())], "°C") is None


class Page(HTMLParser):
    """Elements, attributes and text of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: set[str] = set()
        self.attributes: set[str] = set()
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.add(tag)
        self.attributes |= {name for name, _ in attrs}

    def handle_data(self, data: str) -> None:
        self.text += data


OURS = {
    "html", "head", "meta", "title", "style", "body", "main", "h1", "h2", "p", "section", "footer", "div", "table",
    "thead", "tbody", "tr", "th", "td", "figure", "figcaption", "svg", "line", "circle", "text",
}  # fmt: skip


def test_what_people_wrote_is_never_markup() -> None:
    plot = Holding(
        PLOT, [{**one, "rev": 1, "body": one["set"], "conflicts": []} for one in hostile_records(PLOT, NOW)]
    )
    for made in (week(plot, NOW.date(), NOW), season(plot, NOW.year, NOW), products(plot, NOW.year, NOW)):
        page = Page(as_html(made))
        assert page.elements <= OURS
        assert not {name for name in page.attributes if name.startswith("on")} | (
            {"href", "src", "style"} & page.attributes
        )
    assert as_pdf(products(plot, NOW.year, NOW), NOW).startswith(
        b"%PDF-"
    )  # with the system's font, if it has one
    shown = Page(as_html(products(plot, NOW.year, NOW))).text
    assert any(word in shown for word in WORDS)  # as the text that it is


def test_every_word_in_every_part_is_escaped() -> None:
    every = tuple(WORDS)
    drawing = time_chart(
        [Series(every[0], (Point(NOW.date(), 1.0),)), Series(every[1], (Point(NOW.date(), 2.0),))], every[2]
    )
    assert drawing is not None
    blocks = (
        *(Words(word, True) for word in every),
        Grid(every, (every,)),
        Grid(every, (every,), told_below=True),
        Picture(drawing, every[0] + every[1]),
    )
    page = Page(as_html(Report(every[0], every[2], (Section(every[2], blocks),), every[6])))
    assert page.elements <= OURS and all(word in page.text for word in every)
    assert not {"onload", "onerror", "onclick", "href", "src"} & page.attributes


def test_the_page_runs_and_fetches_nothing() -> None:
    text = as_html(week(Holding(PLOT, []), date(2026, 5, 3), NOW))
    digest = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    assert (
        f"style-src 'sha256-{digest}'" in text
        and "<script" not in text
        and "http" not in text.replace("http-equiv", "").replace("http://www.w3.org/2000/svg", "")
    )


def streams(pdf: bytes) -> str:
    found = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    return b"\n".join(zlib.decompress(part) for part in found if part[:1] == b"x").decode("latin-1")


def test_the_pdf_says_the_same_and_does_nothing(of_2026: Report) -> None:
    pdf = as_pdf(of_2026, NOW, fonts=())  # without a font of the system the words stand readable in the file
    drawn = streams(pdf)
    for said in ("Skerry End", "Take care", "What to change", "May", "freezing"):
        assert said in drawn, said
    assert not {b"/JavaScript", b"/JS", b"/Launch", b"/URI", b"/EmbeddedFile"} & set(
        re.findall(rb"/[A-Za-z]+", pdf)
    )
    assert as_pdf(of_2026, NOW, fonts=()) == pdf


def test_any_plot_gives_reports() -> None:
    made = MadePlot(17, size=120)
    plot = Holding(made.plot_id, made.records)
    for report in (week(plot, date(2025, 9, 1), NOW), season(plot, 2025, NOW), products(plot, 2025, NOW)):
        assert as_html(report).endswith("</html>\n")
        assert as_pdf(report, NOW, fonts=())


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Any:
    with household(tmp_path_factory.mktemp("reports"), migrated_sqlite) as made:
        yield made


@pytest.mark.parametrize(
    ("query", "kind"), [("", "text/html"), ("?form=pdf&until=2026-05-03", "application/pdf")]
)
def test_a_report_over_http(house: Household, query: str, kind: str) -> None:
    answer = house.ask("reader", "GET", f"/api/v1/plots/{house.plot_id}/report/week{query}")
    assert answer.status_code == 200 and answer.mimetype == kind
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert answer.headers["Content-Disposition"].startswith('inline; filename="week-')
    for wrong in ("form=doc", "until=yesterday", "until=0001-01-01", "year=1"):
        refused = house.ask("reader", "GET", f"/api/v1/plots/{house.plot_id}/report/week?{wrong}")
        assert refused.status_code == 422, wrong


def test_the_command_writes_page_and_pdf(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = ["--data", str(tmp_path / "data")]
    plot = tmp_path / "plot.zip"
    from underboard.exchange.bundle import write_bundle

    made = MadePlot(3, size=5)
    with plot.open("wb") as out:
        write_bundle(out, Holding(made.plot_id, made.records), made.photos.get, NOW, "1")
    assert main(["import", str(plot), *data]) == 0
    for name in ("r.html", "r.pdf"):
        capsys.readouterr()
        assert main(["report", "season", str(tmp_path / name), "--year", "2025", "--json", *data]) == 0
        assert json.loads(capsys.readouterr().out)["about"] == "2025"
        assert (tmp_path / name).stat().st_size > 1000
    for wrong in (["r.doc"], ["r.pdf", "--until", "soon"], ["r.pdf", "--year", "3"]):
        assert main(["report", "week", *wrong, *data]) == 2
