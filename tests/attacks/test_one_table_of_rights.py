"""Only `web/roles.py` knows what a role may: everybody else names an act and asks `may`."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from underboard.web.roles import ROLES

WEB = Path(__file__).parents[2] / "server" / "underboard" / "web"
FILES = sorted(
    path for path in WEB.rglob("*.py") if path.name != "roles.py" and path.parent.name != "schemas"
)


def decisions(source: str) -> Iterator[str]:
    """Places where code weighs a role by itself: compares one, branches on one, looks one up, spells one out."""
    for node in ast.walk(ast.parse(source)):
        weighed: list[ast.AST] = []
        if isinstance(node, ast.Compare):
            weighed = [node.left, *node.comparators]
        elif isinstance(node, ast.Match):
            weighed = [node.subject]
        elif isinstance(node, ast.Subscript):
            weighed = [node.slice]
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if isinstance(node.func.value, ast.Attribute) and node.func.value.attr == "role":
                weighed = [node.func.value]  # role.startswith("own")
            elif node.func.attr in ("get", "index", "count"):
                weighed = list(node.args)
        if any(_is_a_role(part) for part in weighed) or (
            isinstance(node, ast.Constant) and node.value in ROLES
        ):
            yield f"{getattr(node, 'lineno', 0)}: {ast.unparse(node)}"


def _is_a_role(node: ast.AST) -> bool:
    return any(
        (isinstance(part, ast.Attribute) and part.attr == "role")
        or (isinstance(part, ast.Name) and part.id == "role")
        for part in ast.walk(node)
    )


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(WEB).as_posix())
def test_no_view_weighs_a_role_by_itself(path: Path) -> None:
    assert list(decisions(path.read_text("utf-8"))) == []


@pytest.mark.parametrize(
    "line",
    [
        'hidden = asking.role != "owner"',
        "ok = asking.role in WHO",
        'ok = "own" in asking.role',
        "match asking.role:\n    case x: pass",
        "ok = RIGHTS[asking.role]",
        "ok = RIGHTS.get(asking.role)",
        'ok = asking.role.startswith("own")',
        "ok = role == least",
        'who = {"owner", "x"}',
    ],
)
def test_the_search_finds_what_it_is_for(line: str) -> None:
    assert list(decisions(line))


def test_showing_a_role_and_asking_the_table_is_no_weighing() -> None:
    fine = 'shown = {"role": device.role}\nif not may(device.role, Act.READ):\n    raise Stop(f"A {device.role}")\n'
    assert list(decisions(fine)) == [] and len(FILES) > 25
