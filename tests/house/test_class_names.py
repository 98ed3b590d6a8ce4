"""A class of the client's styles belongs to one screen or to what all share.

A screen's style stays once the screen has been open: a name that two screens use would change one of them after the
other was looked at.
"""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

SOURCE = Path(__file__).parents[2] / "pwa" / "src"
#: Paper, where it is printed, does without what stands around every screen; its selectors name the sheets as well.
PRINTED = {"bar", "page", "top-notices"}


def styled(text: str) -> set[str]:
    """The classes by which the selectors of a style begin."""
    bare = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    heads = [one for head in re.findall(r"([^{}]+)\{", bare) for one in head.split(",")]
    return {found[1] for one in heads if (found := re.match(r"\s*\.([\w-]+)", one))}


def test_no_class_is_styled_by_two_screens() -> None:
    rooms: dict[str, set[str]] = defaultdict(set)
    for file in SOURCE.rglob("*.css"):
        parts = file.relative_to(SOURCE).parts
        room = parts[1] if parts[0] == "screens" else "shared"
        for name in styled(file.read_text(encoding="utf-8")):
            rooms[name].add(room)
    assert len(rooms) > 300  # all styles were read
    shared = {name: sorted(where) for name, where in rooms.items() if len(where) > 1 and name not in PRINTED}
    assert shared == {}
