"""The words of sync: operations that phones send, what the server knows, what it answers."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

Kind = Literal["put", "del", "resolve"]
Status = Literal["applied", "merged", "duplicate", "conflict", "rejected", "reused", "retry"]
Why = Literal["overlap", "deleted", "delete-vs-edit"]
MAX_REV = 2**53
MAX_AFTER = 1000


class Op(Struct, gc=False, forbid_unknown_fields=True):
    """One act of a person on one record, in the words of the wire but for the last two. Never changed once it was
    read (a frozen class would cost a push of 500 a millisecond, as would the other plain ones here).

    `base_rev` is the revision the person saw, in the epoch `base_epoch`; `after` names the operations of the
    same phone on the record since then. `text` is `set` as JSON text, keys in order: what the store keeps.
    `checked` says that `set` has passed the check of `type` already, which is done before any lock is taken.
    """

    op_id: str
    kind: Kind
    id: str
    base_rev: Annotated[int, Meta(ge=0, le=MAX_REV)]
    set: dict[str, Any] = {}
    type: str | None = None
    base_epoch: str | None = None
    after: Annotated[frozenset[str], Meta(max_length=MAX_AFTER)] = frozenset()
    conflicts: Annotated[tuple[str, ...], Meta(max_length=MAX_AFTER)] = ()
    text: str = "{}"
    checked: bool = False

    @property
    def digest(self) -> bytes:
        """A hash of what the operation says, so that another operation under the same id is noticed (a phone
        restored from a phone backup gives its ids out twice). Made when asked for: most are never."""
        return digest_of(self.kind, self.id, self.text, self.conflicts)


# ASCII, so that no letter can stop a database; keys in order, so that equal sets give equal texts.
_encoder = json.JSONEncoder(sort_keys=True, separators=(",", ":"), allow_nan=False, check_circular=False)


def _writer() -> Callable[[Mapping[str, Any]], str]:
    """Return the encoder's `encode`, without the C encoder that it makes anew for each text."""
    make: Any = getattr(json.encoder, "c_make_encoder", None)
    if make is None:  # a Python without the accelerator
        return _encoder.encode
    ascii_text = json.encoder.encode_basestring_ascii
    # no check for circles, no indent, keys in order, no key left out, no NaN
    iterate = make(None, _encoder.default, ascii_text, None, ":", ",", True, False, False)
    return lambda fields: "".join(iterate(fields, 0))


_write = _writer()


def write_fields(fields: Mapping[str, Any]) -> str:
    """Return fields as JSON text in the one spelling that is stored and hashed.

    Raises
    ------
    ValueError
        A number in it is not finite.
    """
    return _write(fields)


def digest_of(kind: str, record_id: str, text: str, conflicts: tuple[str, ...] = ()) -> bytes:
    """Return the SHA-256 of what an operation says; its base and lineage do not belong to it."""
    said = f"{kind}\n{record_id}\n{text}"
    if conflicts:
        said = "\n".join((said, *conflicts))
    return hashlib.sha256(said.encode()).digest()


@dataclass(slots=True)
class Conflict:
    """A whole operation that was kept beside the record until a person settles it."""

    id: str
    device_id: str
    why: Why
    base_rev: int
    set: Mapping[str, Any]


@dataclass(slots=True)
class State:
    """A record as the server has it. `conflicts` are the open ones, by id."""

    id: str
    type: str
    rev: int
    seq: int
    deleted: bool
    body: dict[str, Any]
    restored_rev: int = 0
    clock_suspect: bool = False
    conflicts: dict[str, Conflict] = field(default_factory=dict)


@dataclass(slots=True)
class Change:
    """One entry of a record's change log. `fields` is empty for a conflict and for a deletion."""

    op_id: str
    rev: int
    device_id: str
    kind: str
    fields: AbstractSet[str]


@dataclass(slots=True)
class Ledger:
    """What became of an operation that has been here before."""

    digest: bytes
    status: Status
    rev: int


class Result(Struct, gc=False):
    """What becomes of one operation; `show` says that the answer carries the record."""

    op_id: str
    status: Status
    rev: int | None = None
    record_id: str | None = None
    show: bool = False
    problem: Mapping[str, Any] | None = None
    seq: int | None = None
