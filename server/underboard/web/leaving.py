"""Putting a plot into a form that leaves: where the store's records and the forms meet, for the web and the command."""

from __future__ import annotations

from datetime import datetime
from typing import IO

from underboard import __version__
from underboard.core.errors import UnknownBlob
from underboard.exchange.holding import Holding, Photos
from underboard.exchange.out.forms import Asked, Form
from underboard.store import whole_plots
from underboard.store.blobs import BlobStore


def holding_of(plot_id: str) -> Holding:
    """Return the plot's living records.

    Raises
    ------
    UnknownPlot
    """
    return Holding(plot_id, whole_plots.living(plot_id))


def photos_of(plot_id: str, blobs: BlobStore) -> Photos:
    """Return what gives the bytes of the plot's photos."""

    def photo(sha256: str) -> bytes | None:
        try:
            with blobs.open(plot_id, sha256) as (_, stream):
                return stream.read()
        except UnknownBlob:
            return None

    return photo


def write_form(out: IO[bytes], form: Form, plot_id: str, blobs: BlobStore, now: datetime) -> None:
    """Write the plot in one form.

    Raises
    ------
    UnknownPlot
    InputFault
        The plot lacks what the form needs, such as its position.
    """
    form.write(out, Asked(holding_of(plot_id), photos_of(plot_id, blobs), now, __version__))


def file_name(holding_name: str, form: Form, day: datetime) -> str:
    """Return what to call the file: letters and digits only, whatever the plot is called."""
    kept = "".join(
        letter if letter.isascii() and letter.isalnum() else "-" for letter in holding_name.lower()
    )
    stem = "-".join(part for part in kept.split("-") if part)[:40] or "plot"
    return f"{stem}-{form.name}-{day:%Y-%m-%d}{form.suffix}"
