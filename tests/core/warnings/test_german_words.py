"""Every word that a rule may put into a warning, and every answer of the server to a phone, has a German twin.

`conftest.py` holds the whole sentences of all warnings that other tests raise to the book; here it is what the rules'
source says, so that a branch which no test takes is not left out.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import underboard
from tests.core.warnings.german import english_phrases, unknown_in
from underboard.web.problems import _SENTENCES, KINDS

PACKAGE = Path(underboard.__file__).parent
RULES = sorted((PACKAGE / "core" / "warnings" / "rules").glob("*.py"))
WORDS = [PACKAGE / "core" / "warnings" / name for name in ("frost_words.py", "traps_seen.py")]
VALUES = (PACKAGE.parents[1] / "pwa" / "src" / "text" / "de" / "values.ts").read_text(encoding="utf-8")
#: Calls and functions whose words never become part of a warning: why nothing is said, and what a setting means.
NOT_SAID = {"Held", "Setting", "Rule", "Param", "Calculation"}
WHY_NOT = {
    "why_not",
    "no_evening",
    "_no_evidence",
    "_no_data",
    "_nothing_to_judge",
    "_look",
    "_not_yet",
    "_active",
}
#: Local names under which functions that do both keep the words of a `Held`.
HELD_NAMES = {"said", "why", "unknown", "need", "when", "what", "seen", "plan", "names"}
#: What the app of a phone asks; the others answer scripts, commands and browsers.
FOR_PHONES = (
    "auth.py",
    "problems.py",
    "blobs.py",
    "channels.py",
    "devices.py",
    "history.py",
    "pair.py",
    "sync.py",
)


def stretches(text: str) -> list[str]:
    """Parts of a sentence that stand together in any phrase: long enough to mean something."""
    parts = re.split(r"(?<=[.!?]) |[;:(),]|\d+ °C", text)
    return [part.strip(" .!?") for part in parts if len(part.strip(" .!?")) > 14 and " " in part.strip()]


def said_in(node: ast.AST) -> Iterator[str]:
    """Strings below a node, docstrings and what only explains left out."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in NOT_SAID:
        return
    if isinstance(node, ast.FunctionDef) and node.name in WHY_NOT:
        return
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return
    if isinstance(node, ast.Assign) and _kept_for_held(node):
        return
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    for child in ast.iter_child_nodes(node):
        yield from said_in(child)


def _kept_for_held(node: ast.Assign) -> bool:
    return all(isinstance(one, ast.Name) and one.id in HELD_NAMES for one in node.targets)


@pytest.mark.parametrize("file", [*RULES, *WORDS], ids=lambda file: file.stem)
def test_each_stretch_of_words_in_a_rule_is_in_the_book(file: Path) -> None:
    book = "\n".join([*english_phrases(), VALUES]).lower()
    words = [
        part for text in said_in(ast.parse(file.read_text(encoding="utf-8"))) for part in stretches(text)
    ]
    assert [part for part in words if part.lower() not in book] == []


def test_titles_and_answers_that_a_phone_shows_are_in_the_book() -> None:
    titles = [title for _, title in KINDS.values()]
    assert [title for title in (*titles, _SENTENCES[500], _SENTENCES[404]) if unknown_in(title)] == []
    unknown = [text for text in answers_to_phones() if unknown_in(text)]
    assert unknown == []


def answers_to_phones() -> Iterator[str]:
    """Details of problems as the views and the errors below them word them, with "7" for each value."""
    for file in sorted((PACKAGE / "web").rglob("*.py")):
        if file.name in FOR_PHONES:
            yield from _details(file, "Problem", 1)
    for node in ast.walk(ast.parse((PACKAGE / "core" / "errors.py").read_text(encoding="utf-8"))):
        if isinstance(node, ast.ClassDef) and {getattr(base, "id", "") for base in node.bases} & {
            "PairingFault", "PhotoFault", "StoreBusy", "SyncFault"}:  # fmt: skip
            yield from (_filled(call.args[0]) for call in _calls(node, "__init__") if call.args)


def _details(file: Path, name: str, place: int) -> Iterator[str]:
    for call in _calls(ast.parse(file.read_text(encoding="utf-8")), name):
        if len(call.args) > place and isinstance(call.args[place], ast.Constant | ast.JoinedStr):
            yield _filled(call.args[place])


def _calls(tree: ast.AST, name: str) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and name in (
            getattr(node.func, "id", ""),
            getattr(node.func, "attr", ""),
        ):
            yield node


def _filled(text: ast.expr) -> str:
    if isinstance(text, ast.JoinedStr):
        return "".join(str(one.value) if isinstance(one, ast.Constant) else "7" for one in text.values)
    return str(text.value) if isinstance(text, ast.Constant) else ""
