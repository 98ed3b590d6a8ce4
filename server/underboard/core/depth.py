"""How deep JSON values may be nested."""

from __future__ import annotations

from typing import Any, Final

MAX_DEPTH: Final = 32  # a record needs 6: push, ops, op, set, photos, photo


def is_deeper(value: Any, limit: int) -> bool:
    """Whether lists and objects are nested more than `limit` deep; walks level by level, without recursion."""
    level = [value] if isinstance(value, dict | list) else []
    for _ in range(limit):
        if not level:
            return False
        level = [
            child
            for parent in level
            for child in (parent.values() if type(parent) is dict else parent)
            if type(child) is dict or type(child) is list
        ]
    return bool(level)
