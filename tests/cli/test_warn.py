"""`underboard warn` as a person or a script uses it, and the job inside a real `underboard serve`."""

from __future__ import annotations

import json
import time
import urllib.error
import uuid
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.browser.server import ServerProcess
from tests.conftest import bare_app
from tests.jobs.small_plot import FROZE, SmallPlot, rows, small_plot
from underboard.cli import main
from underboard.cli.house import certificate_end, house_of, note_certificate
from underboard.config import load_settings
from underboard.store import db, pulling, sync_store
from underboard.store.leading import FileLead

Command = Callable[..., tuple[int, str, str]]
READ_AT = datetime(2026, 5, 12, 6, 30, tzinfo=UTC)
LATER = "2026-05-12T09:00"


@pytest.fixture
def command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Command:
    def run(*words: str) -> tuple[int, str, str]:
        code = main([*words, "--data", str(tmp_path / "data")])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


@pytest.fixture
def plot(tmp_path: Path, command: Command) -> Iterator[SmallPlot]:
    """A plot in Berlin whose thermometer was read at half past eight as 99 °C: nobody believes that."""
    command("migrate")
    app = bare_app(f"sqlite:///{tmp_path / 'data' / 'underboard.sqlite3'}")
    with app.app_context():
        made = small_plot()
        made.read(99.0, READ_AT)
        yield made
        db.engine.dispose()


def facts(command: Command, *words: str) -> Any:
    code, out, err = command(*words, "--json")
    assert (code, err) == (0, ""), err
    return json.loads(out)


def of_rule(said: list[dict[str, Any]], rule: str = "reading_implausible") -> list[dict[str, Any]]:
    return [one for one in said if one["rule"] == rule]


def test_a_pass_says_what_it_raised_and_what_it_held_back(command: Command, plot: SmallPlot) -> None:
    answer = facts(command, "warn", "--at", LATER)
    assert set(answer) == {"raised", "updated", "ended", "held"}
    (raised,) = of_rule(answer["raised"])
    assert raised["plot_id"] == plot.plot_id
    assert raised["raised_at"] == "2026-05-12T07:00:00+00:00"  # nine o'clock by the plot's clock
    assert raised["numbers"]["min_c"] == 99.0
    for name in ("headline", "why", "advice", "severity", "urgency", "certainty", "window_end"):
        assert raised[name], name
    assert all(one["rule"] and one["why_not"].endswith(".") for one in answer["held"])
    assert answer["held"]
    stored = {one["id"]: one["body"] for one in pulling.records_of(plot.plot_id, ["warning"])}
    assert stored[raised["id"]]["headline"] == raised["headline"]


def test_the_same_pass_again_raises_and_changes_nothing(command: Command, plot: SmallPlot) -> None:
    first = facts(command, "warn", "--at", LATER)
    seq = sync_store.last_seq(plot.plot_id)
    again = facts(command, "warn", "--at", LATER)
    assert first["raised"] and (again["raised"], again["updated"], again["ended"]) == ([], [], [])
    assert again["held"] == first["held"]
    assert sync_store.last_seq(plot.plot_id) == seq


def test_a_dry_run_says_the_same_and_writes_nothing(command: Command, plot: SmallPlot) -> None:
    seq = sync_store.last_seq(plot.plot_id)
    dry = facts(command, "warn", "--at", LATER, "--dry-run")
    assert sync_store.last_seq(plot.plot_id) == seq
    assert plot.warnings() == {}
    real = facts(command, "warn", "--at", LATER)
    assert [{**one} for one in dry["raised"]] == [
        {name: one[name] for name in dry["raised"][n]} for n, one in enumerate(real["raised"])
    ]


def test_what_was_observed_later_is_not_known_yet(command: Command, plot: SmallPlot) -> None:
    assert of_rule(facts(command, "warn", "--at", "2026-05-12T08:29")["raised"]) == []
    assert of_rule(facts(command, "warn", "--at", "2026-05-12T08:31")["raised"]) != []


def test_looking_at_another_time_ends_nothing_that_stands_since(command: Command, plot: SmallPlot) -> None:
    (raised,) = of_rule(facts(command, "warn", "--at", LATER)["raised"])
    before = facts(command, "warn", "--at", "2026-05-10T09:00")
    assert of_rule(before["ended"]) == []
    ended = facts(command, "warn", "--at", "2026-05-20T09:00")["ended"]
    assert [one["id"] for one in of_rule(ended)] == [raised["id"]]


def test_the_job_takes_no_notice_of_what_a_person_asked_for(command: Command, plot: SmallPlot) -> None:
    """A look at next month must not make the job forget what is new today."""
    plot.clock.at = READ_AT + timedelta(minutes=30)
    plot.turns().run_due()
    facts(command, "warn", "--at", "2027-06-12T09:00")
    plot.read(-1.0, READ_AT + timedelta(minutes=40))
    plot.clock.turn(timedelta(minutes=15))
    plot.turns().run_due()
    assert "2026-05-12" in plot.warnings()


def test_for_people_it_is_a_text(command: Command, plot: SmallPlot) -> None:
    code, out, err = command("warn", "--at", LATER)
    assert (code, err) == (0, "")
    assert out.startswith("Small plot, Tuesday 12 May 2026 09:00 (Europe/Berlin)\n")
    assert "  RAISED: reading_implausible: Post, read on" in out
    assert "    why: It was read as lowest 99.0 °C." in out
    assert "  not: round_missed: " in out
    code, out, _ = command("warn", "--at", LATER, "--dry-run")
    assert "Nothing new to warn about." in out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--at", "yesterday"), "--at: 'yesterday' is not a time; say it like 2026-05-12T21:00"),
        (("--plot", "0189-none"), "0189-none"),
    ],
)
def test_a_mistake_is_one_plain_sentence(
    command: Command, plot: SmallPlot, words: tuple[str, ...], sentence: str
) -> None:
    code, out, err = command("warn", *words)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert sentence in err


def test_without_a_plot_it_says_how_to_begin(command: Command) -> None:
    assert "There is no plot yet" in command("warn")[1]


def pull(
    server: ServerProcess, plot_id: str, headers: dict[str, str], type_name: str
) -> list[dict[str, Any]]:
    return [one for one in server.records(plot_id, headers) if one["type"] == type_name]


def prepared(data: Path) -> tuple[str, Flask]:
    """A data folder with one plot, whose thermometer was just misread."""
    main(["migrate", "--data", str(data), "--json"])
    app = bare_app(f"sqlite:///{data / 'underboard.sqlite3'}")
    with app.app_context():
        plot = small_plot(mail=False)
        plot.read(99.0, datetime.now(UTC) - timedelta(hours=1))
        db.engine.dispose()
    return plot.plot_id, app


def wait_for(found: Callable[[], Any], seconds: float = 150) -> Any:
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        try:
            answer = found()
        except urllib.error.URLError:
            answer = None
        if answer:
            return answer
        time.sleep(0.2)
    raise AssertionError("nothing came of it")


def test_a_real_server_looks_for_warnings_and_phones_pull_them(tmp_path: Path) -> None:
    plot_id, app = prepared(tmp_path)
    server = ServerProcess(tmp_path).start()
    try:
        headers = server.bearer(plot_id)
        warnings = wait_for(lambda: pull(server, plot_id, headers, "warning"))
        assert "reading_implausible" in {one["body"]["rule"] for one in warnings}
        (learned,) = pull(server, plot_id, headers, "learned")
        assert learned["body"]["since"]
        doctor = {one["about"]: one for one in server.run("doctor")["findings"]}
        assert doctor["jobs"]["level"] == "ok"
    finally:
        server.stop()
    states = "SELECT job, state, count(*) FROM job_run WHERE job = 'warn' GROUP BY job, state"
    ((job, state, count),) = rows(app, states)
    assert (job, state) == ("warn", "done") and count >= 1


def test_a_server_told_not_to_leaves_it(tmp_path: Path) -> None:
    plot_id, app = prepared(tmp_path)
    (tmp_path / "settings.toml").write_text("jobs = false\n")
    server = ServerProcess(tmp_path).start()
    try:
        headers = server.bearer(plot_id)
        time.sleep(4)
        assert pull(server, plot_id, headers, "warning") == []
        doctor = {one["about"]: one for one in server.run("doctor")["findings"]}
        assert doctor["jobs"]["words"] == "switched off by the setting jobs: nobody is warned of anything."
    finally:
        server.stop()
    assert rows(app, "SELECT count(*) FROM job_run") == [(0,)]


def jobs_of(command: Command) -> list[tuple[str, str]]:
    # before it stands what the failing pass of this same process has logged
    findings = json.loads(command("doctor", "--json")[1].splitlines()[-1])["findings"]
    return [(one["level"], one["words"]) for one in findings if one["about"] == "jobs"]


def test_the_doctor_says_since_when_nobody_looks(command: Command, plot: SmallPlot, tmp_path: Path) -> None:
    plot.clock.at = datetime.now(UTC) - timedelta(days=2)
    slot = plot.clock.at.replace(minute=plot.clock.at.minute // 15 * 15, second=0, microsecond=0)
    plot.turns().run_due()
    since = f"nobody has looked for warnings since {slot:%Y-%m-%d %H:%M} UTC"
    ((level, words),) = jobs_of(command)
    assert (level, words) == ("note", f"{since}: that happens while `underboard serve` runs.")
    server = FileLead(tmp_path / "data" / "jobs.lock")
    assert server.held()
    ((level, words),) = jobs_of(command)
    assert (level, words) == ("trouble", f"{since} although the server runs: restart it and see its log.")
    server.give_up()
    plot.clock.at = datetime.now(UTC)
    plot.turns().run_due()
    assert jobs_of(command) == [("ok", "warnings are looked for in time")]


def test_the_doctor_names_the_plot_whose_passes_fail(command: Command, plot: SmallPlot) -> None:
    def explode(*_: object) -> object:
        raise ZeroDivisionError("a rule with a mistake")

    plot.clock.at = datetime.now(UTC)
    plot.turns([replace(FROZE, run=explode)]).run_due()
    (level, words), _ = jobs_of(command)
    assert level == "trouble"
    assert plot.plot_id in words and "ZeroDivisionError: a rule with a mistake" in words


def test_the_end_of_a_certificate_is_read(tmp_path: Path, plot: SmallPlot) -> None:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "plot.example")])
    ends = datetime(2026, 8, 1, 12, 0, tzinfo=UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(ends - timedelta(days=90))
        .not_valid_after(ends)
        .sign(key, hashes.SHA256())
    )
    file = tmp_path / "certificate.pem"
    file.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    assert certificate_end(file) == ends
    # what a server shows is what the other commands judge, until one serves without
    settings = load_settings(tmp_path, {})
    assert house_of(settings)(str(uuid.uuid4())).certificate_ends_at is None
    note_certificate(settings, file)
    assert house_of(settings)(str(uuid.uuid4())).certificate_ends_at == ends
    note_certificate(settings, None)
    assert house_of(settings)(str(uuid.uuid4())).certificate_ends_at is None
    assert certificate_end(tmp_path / "none.pem") is None
    file.write_text("no certificate")
    assert certificate_end(file) is None
    assert certificate_end(None) is None
