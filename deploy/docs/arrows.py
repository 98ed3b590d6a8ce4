"""Draw who may know whom, from the imports that are there: `python -m deploy.docs.arrows`.

The rows come from the contract that import-linter holds (pyproject.toml), the arrows from the `import` lines of the
package. An arrow against the rows would be drawn in red; import-linter refuses it before it gets here.
"""

from __future__ import annotations

import ast
import re
import tomllib
from html import escape
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]
PACKAGE: Final = ROOT / "server" / "underboard"
PICTURE: Final = Path(__file__).with_name("pictures") / "architecture.svg"
WIDE, ROW, BOX_W, BOX_H = 760, 92, 132, 40
INK, EDGE, WRONG = "#1d140c", "#8d6a3c", "#961f10"


def rows() -> list[list[str]]:
    """The rooms of the package, row by row from the outside in, as the contract names them."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]
    layers: list[str] = next(one["layers"] for one in contracts["contracts"] if one["type"] == "layers")
    return [re.findall(r"[\w.]+", layer) for layer in layers]


def arrows() -> set[tuple[str, str]]:
    """Pairs (who, whom): a file of the first room imports from the second."""
    rooms = [room for row in rows() for room in row]
    found = set()
    for path in PACKAGE.rglob("*.py"):
        if "migrations" in path.parts:
            continue
        here = _room(".".join(path.relative_to(PACKAGE).with_suffix("").parts), rooms)
        for name in _imported(ast.parse(path.read_text(encoding="utf-8"))):
            there = _room(name, rooms)
            if here and there and here != there:
                found.add((here, there))
    return found


def _imported(tree: ast.AST) -> set[str]:
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {one.name for one in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {f"{node.module}.{one.name}" for one in node.names}
    return {name.removeprefix("underboard.") for name in names if name.startswith("underboard.")}


def _room(name: str, rooms: list[str]) -> str:
    return next((room for room in rooms if name == room or name.startswith(f"{room}.")), "")


def drawing(pairs: set[tuple[str, str]]) -> str:
    """The picture as SVG text: the same on every machine."""
    table = rows()
    at = {room: _place(n, i, len(row)) for n, row in enumerate(table) for i, room in enumerate(row)}
    level = {room: n for n, row in enumerate(table) for room in row}
    high = ROW * len(table) + 8
    says = f"{len(at)} rooms in {len(table)} rows; each knows only rooms below it."
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {high}" width="{WIDE}" height="{high}"'
        f' role="img" font-family="sans-serif" font-size="14"><title>{says}</title>',
        f'<defs><marker id="tip" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="7" markerHeight="7" orient="auto">'
        f'<path d="M0 0L8 4L0 8z" fill="{EDGE}"/></marker></defs>',
    ]
    for who, whom in sorted(pairs):
        (x1, y1), (x2, y2) = at[who], at[whom]
        wrong = level[whom] <= level[who]
        lines.append(
            f'<path d="M{x1} {y1 + BOX_H // 2}C{x1} {y1 + ROW // 2} {x2} {y2 - ROW // 2} {x2} {y2 - BOX_H // 2}"'
            f' fill="none" stroke="{WRONG if wrong else EDGE}" marker-end="url(#tip)"'
            f"><title>{escape(who)} knows {escape(whom)}</title></path>"
        )
    for room, (x, y) in at.items():
        lines.append(
            f'<rect x="{x - BOX_W // 2}" y="{y - BOX_H // 2}" width="{BOX_W}" height="{BOX_H}" rx="8" fill="#f3deb1"'
            f' stroke="{INK}"/><text x="{x}" y="{y + 5}" text-anchor="middle" fill="{INK}">{escape(room)}</text>'
        )
    return "\n".join([*lines, "</svg>"]) + "\n"


def _place(row: int, n: int, of: int) -> tuple[int, int]:
    return WIDE * (2 * n + 1) // (2 * of), ROW * row + ROW // 2


if __name__ == "__main__":
    PICTURE.write_text(drawing(arrows()), encoding="utf-8")
    print(PICTURE)
