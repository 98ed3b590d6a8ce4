"""New files for old ones, all or none: a journal says what goes where, and whoever finds it goes on.

Before the journal is there, nothing has happened. Once it is, every move can be made a second time without harm,
so a process that is killed between two of them leaves the rest to the next one that opens the folder.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from underboard.core.errors import BackupFailed
from underboard.store.flushing import flush_folder

JOURNAL = "restore_underway.json"


@dataclass(frozen=True)
class Move:
    """What lies at `place` goes to `aside`, and what lies at `staged` comes to `place`; either may be nothing.

    All three are on one disk.
    """

    place: Path
    aside: Path
    staged: Path | None = None


def swap(folder: Path, moves: Iterable[Move], mark: Callable[[str], None]) -> None:
    """Make the moves, or leave the journal from which `finish_swap` makes them."""
    journal = folder / JOURNAL
    listed = [[str(m.place), str(m.aside), str(m.staged) if m.staged else None] for m in moves]
    part = journal.with_name(f"{JOURNAL}.part")
    with part.open("w", encoding="utf-8") as out:
        json.dump(listed, out)
        out.flush()
        os.fsync(out.fileno())
    mark("staged")
    part.replace(journal)
    try:
        flush_folder(folder)
        finish_swap(folder, mark)
    except OSError as fault:
        raise BackupFailed(
            f"The backup is ready in {folder}, but could not be put in to the end ({fault.strerror or fault}). Nothing"
            " is lost: mend that, and the next command of Underboard on this folder finishes it."
        ) from fault


def finish_swap(folder: Path, mark: Callable[[str], None] = lambda _point: None) -> bool:
    """Make the moves that a journal still asks for; return whether there was one."""
    journal = folder / JOURNAL
    try:
        listed = json.loads(journal.read_text("utf-8"))
    except FileNotFoundError:
        return False
    touched = {folder}
    for place, aside, staged in listed:
        move = Move(Path(place), Path(aside), Path(staged) if staged else None)
        _make(move)
        touched |= {move.place.parent, move.aside.parent}
        mark("moved")
    for one in touched:
        if one.is_dir():
            flush_folder(one)
    journal.unlink()
    flush_folder(folder)
    return True


def _make(move: Move) -> None:
    if move.staged is not None and not move.staged.exists():
        return  # it has come to its place already, and what was there went aside before
    if move.place.exists() and not move.aside.exists():
        move.aside.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        os.replace(move.place, move.aside)
    if move.staged is not None:
        move.place.parent.mkdir(parents=True, exist_ok=True)
        os.replace(move.staged, move.place)
