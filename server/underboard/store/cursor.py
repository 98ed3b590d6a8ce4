"""The pull cursor: opaque to phones, self-describing to us, so that its form can change.

`v1:epoch:plot:seq` with one more part, `until`, during a first sync: deletions up to it are skipped, because
the phone never had what they delete; later ones are sent, since a record may die while pages are read.
"""

from __future__ import annotations

import base64
import binascii
from dataclasses import dataclass

from underboard.core.errors import CursorAhead, CursorForged, CursorOfOtherPlot, EpochChanged

MAX_LENGTH = 400
MAX_SEQ = 2**62


@dataclass(frozen=True, slots=True)
class Cursor:
    """A place in a plot's order of changes: everything up to `seq` has been given out."""

    epoch: str
    plot_id: str
    seq: int
    until: int = 0


def write_cursor(cursor: Cursor) -> str:
    text = f"v1:{cursor.epoch}:{cursor.plot_id}:{cursor.seq}:{cursor.until}"
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def read_cursor(text: str, plot_id: str, epoch: str, last_seq: int) -> Cursor:
    """Read a cursor that a device of `plot_id` sent.

    Raises
    ------
    CursorForged
        Not one of ours.
    CursorAhead
        Of a place that was never reached, as far as this database knows.
    CursorOfOtherPlot
        Another plot's.
    EpochChanged
        The server was restored since.
    """
    if len(text) > MAX_LENGTH:
        raise CursorForged
    try:
        plain = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True).decode("ascii")
        version, of_epoch, of_plot, seq_text, until_text = plain.split(":")
        seq, until = int(seq_text), int(until_text)
    except (binascii.Error, ValueError):
        raise CursorForged from None
    if version != "v1" or not 0 <= seq <= MAX_SEQ or not 0 <= until <= MAX_SEQ:
        raise CursorForged
    if of_plot != plot_id:
        raise CursorOfOtherPlot
    if of_epoch != epoch:
        raise EpochChanged(epoch)
    if seq > last_seq:
        raise CursorAhead
    return Cursor(of_epoch, of_plot, seq, until)
