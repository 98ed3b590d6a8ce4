"""`underboard calc` as a person or a script meets it."""

from __future__ import annotations

import io
import json
import os
import runpy
import subprocess
import sys
from pathlib import Path

import pytest

from underboard.cli import calc, calc_pages
from underboard.core.agronomy import calculation, names

GOOD = {"p": 0.1, "cost": 4, "loss": 60}


class Said:
    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err

    @property
    def json(self) -> dict[str, object]:
        found: dict[str, object] = json.loads(self.out)
        return found


@pytest.fixture
def ask(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):  # type: ignore[no-untyped-def]
    def run(*argv: str, given: str | bytes = b"") -> Said:
        raw = given.encode() if isinstance(given, str) else given
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
        code = calc.run(argv)
        captured = capsys.readouterr()
        return Said(code, captured.out, captured.err)

    return run


def test_list_has_one_line_each(ask) -> None:  # type: ignore[no-untyped-def]
    said = ask("--list")
    lines = said.out.splitlines()
    assert said.code == 0
    assert [line.split("\t")[0] for line in lines] == names()
    assert all(len(line.split("\t")) == 3 and all(line.split("\t")) for line in lines)


def test_one_object_in_one_object_out(ask) -> None:  # type: ignore[no-untyped-def]
    said = ask("cost-loss", given=json.dumps(GOOD))
    assert said.code == 0
    assert said.json["act"] is True
    assert said.json["method"] and said.json["source"]


def test_a_byte_order_mark_is_no_obstacle(ask) -> None:  # type: ignore[no-untyped-def]
    assert ask("cost-loss", given=b"\xef\xbb\xbf" + json.dumps(GOOD).encode()).code == 0


@pytest.mark.parametrize(
    ("given", "pointer", "words"),
    [
        ("", "", "no input"),
        ("  \n", "", "no input"),
        ("{", "", "not JSON"),
        ("[1]", "", "JSON object"),
        ('{"p": NaN}', "", "NaN is not JSON"),
        ('{"p": -Infinity}', "", "-Infinity is not JSON"),
        ('{"p": 1, "p": 1}', "", "stands twice"),
        (b"\xff\xfe{", "", "UTF-8"),
        ("[" * 100_000, "", "too deeply"),
        ('{"p": ' + "9" * 5000 + "}", "/p", "from 0 to 1"),
        ('{"p": 2, "cost": 1, "loss": 1}', "/p", "from 0 to 1"),
        ('{"p": 0.5, "cost": -1, "loss": 1}', "/cost", "from 0"),
    ],
)
def test_nonsense_exits_2_with_a_pointer(ask, given: str | bytes, pointer: str, words: str) -> None:  # type: ignore[no-untyped-def]
    said = ask("cost-loss", given=given)
    assert said.code == 2
    assert said.err == ""
    error = said.json["error"]
    assert isinstance(error, dict)
    assert error["pointer"] == pointer
    assert words in error["detail"]


@pytest.mark.parametrize(
    "argv",
    [
        (),
        ("cost-los",),
        ("cost-loss", "sun"),
        ("cost-loss", "--batch", "--explain"),
        ("cost-loss", "--frob"),
        ("--batch",),
    ],
)
def test_a_wrong_command_exits_2_and_says_how(ask, argv: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    said = ask(*argv)
    assert said.code == 2
    assert "underboard calc --list" in said.json["error"]["detail"]  # type: ignore[index]


def test_help_explains_the_command(ask) -> None:  # type: ignore[no-untyped-def]
    said = ask("--help")
    assert said.code == 0 and "--batch" in said.out


def test_a_batch_keeps_errors_in_their_line(ask) -> None:  # type: ignore[no-untyped-def]
    lines = [json.dumps(GOOD), "{", json.dumps({**GOOD, "p": 7}), "", json.dumps({**GOOD, "p": 0})]
    said = ask("cost-loss", "--batch", given="\n".join(lines))
    got = [json.loads(line) for line in said.out.splitlines()]
    assert said.code == 0
    assert [line.get("act", "refused") for line in got] == [True, "refused", "refused", False]
    assert got[2]["error"]["pointer"] == "/p"


@pytest.mark.parametrize("name", names())
def test_explain_shows_inputs_method_source_and_a_computed_example(ask, name: str) -> None:  # type: ignore[no-untyped-def]
    said = ask(name, "--explain")
    assert said.code == 0
    for heading in ("# Inputs", "# Method", "# Source", "# Worked example"):
        assert heading in said.out
    assert all(f"`{param.key}`" in said.out for param in calculation(name).params)
    example = json.loads(said.out.split("```json\n")[1].split("\n```")[0])
    answer = json.loads(said.out.split("```json\n")[2].split("\n```")[0])
    assert ask(name, given=json.dumps(example)).json == answer


@pytest.mark.parametrize("name", names())
def test_explain_gives_the_formulas_and_the_full_source(ask, name: str) -> None:  # type: ignore[no-untyped-def]
    """Method and source carry what the docstring says under Notes and References, in Markdown."""
    said = ask(name, "--explain").out
    lines = [line.strip() for line in (calculation(name).run.__doc__ or "").splitlines()]
    for title, heading in (("Notes", "## Method"), ("References", "## Source")):
        if title in lines:
            first = lines[lines.index(title) + 2].replace("``", "`")
            section = said.split(heading + "\n", 1)[1].split("\n## ", 1)[0]
            assert first.removesuffix("::") in section
    assert "``" not in said.replace("```", "") and "::\n" not in said
    assert calculation(name).rules and "## Limits and edges" in said


SCRIPT = "import sys; from underboard.cli.calc import run; sys.exit(run(sys.argv[1:]))"


def test_a_reader_that_has_had_enough_ends_it_quietly(tmp_path: Path) -> None:
    """As in `… --batch | head -n 1`: no traceback, no complaint at exit."""
    many = tmp_path / "many.jsonl"
    many.write_text((json.dumps(GOOD) + "\n") * 20_000)
    line = 'set -o pipefail; "$0" -c "$1" cost-loss --batch < "$2" | head -n 1'
    found = subprocess.run(
        ["bash", "-c", line, sys.executable, SCRIPT, str(many)], capture_output=True, check=False
    )
    assert found.returncode == 0
    assert found.stderr == b""
    assert json.loads(found.stdout)["act"] is True


def test_a_closed_pipe_is_no_error(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    with (tmp_path / "pipe").open("w") as stand_in:

        class Closed(io.StringIO):
            def write(self, text: str) -> int:
                raise BrokenPipeError

            def fileno(self) -> int:
                return stand_in.fileno()

        monkeypatch.setattr(sys, "stdout", Closed())
        assert calc.run(["--list"]) == 0


def test_a_run_without_scipy_starts_fast() -> None:
    """Under 0.4 s of processor time, the best of five: the clock on the wall would measure the neighbours."""
    example = json.dumps(dict(calculation("degree-days").example)).encode()
    command = [sys.executable, "-c", SCRIPT, "degree-days"]
    spent = []
    for _ in range(5):
        before = os.times()
        subprocess.run(command, input=example, check=True, capture_output=True)
        after = os.times()
        spent.append(
            after.children_user - before.children_user + after.children_system - before.children_system
        )
    assert min(spent) < 0.4


@pytest.mark.parametrize("name", names())
def test_loading_a_calculation_imports_nothing_heavy(name: str) -> None:
    """numpy, scipy, pint and astral come in when a calculation runs, not when it is named."""
    script = (
        f"import sys; from underboard.core.agronomy import calculation; calculation({name!r}); "
        "print([m for m in ('numpy', 'scipy', 'pint', 'astral') if m in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True)
    assert found.stdout.strip() == "[]"


def test_the_pages_are_fresh() -> None:
    assert calc_pages.run(["--check"]) == 0


def test_the_pages_are_written_by_running_the_module(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["calc_pages", "--check"])
    monkeypatch.delitem(sys.modules, "underboard.cli.calc_pages")
    with pytest.raises(SystemExit) as ended:
        runpy.run_module("underboard.cli.calc_pages", run_name="__main__")
    assert ended.value.code == 0


def test_a_stale_page_is_noticed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert calc_pages.run([str(tmp_path)]) == 0
    assert calc_pages.run(["--check", str(tmp_path)]) == 0
    (tmp_path / "frost.md").write_text("old")
    (tmp_path / "gone.md").write_text("a folder that is no more")
    assert calc_pages.run(["--check", str(tmp_path)]) == 1
    assert "frost.md is stale" in capsys.readouterr().out
