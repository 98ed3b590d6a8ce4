"""Reading a push: the frame is refused as a whole, an operation that cannot be read only by itself."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from underboard.core.errors import EnvelopeFault, SchemaUnsupported
from underboard.core.records import RECORD_TYPES
from underboard.core.sync.sets import write_checked
from underboard.core.sync.terms import MAX_AFTER, MAX_REV, Op, write_fields

PROTOCOL = 1
LOWEST_SCHEMA = 1
SCHEMA = 1
MAX_OPS = 500
MAX_SET = 64 * 1024
TYPES = frozenset(RECORD_TYPES)

_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}").fullmatch


@dataclass(frozen=True, slots=True)
class Unreadable:
    """An operation that cannot be taken as it is, with what is wrong as (JSON pointer, fix) pairs."""

    op_id: str | None
    faults: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PushEnvelope:
    """A push that could be read. `epoch` is None when the phone has never heard one."""

    plot_id: str
    epoch: str | None
    sent_at: datetime | None
    ops: tuple[Op | Unreadable, ...]


def read_push(raw: Any) -> PushEnvelope:
    """Read the JSON value of a push.

    Raises
    ------
    EnvelopeFault
        The frame is not one; names the member.
    SchemaUnsupported
        The phone speaks a record schema that this server does not.
    """
    if not isinstance(raw, Mapping):
        raise EnvelopeFault("", "Send a JSON object with protocol, schema, plot, epoch, sent_at and ops.")
    if raw.get("protocol") != PROTOCOL or isinstance(raw.get("protocol"), bool):
        raise EnvelopeFault("/protocol", f"This server speaks protocol {PROTOCOL}.")
    schema = raw.get("schema")
    if not isinstance(schema, int) or isinstance(schema, bool):
        raise EnvelopeFault("/schema", "A whole number: the record schema that was pulled.")
    if not LOWEST_SCHEMA <= schema <= SCHEMA:
        raise SchemaUnsupported(LOWEST_SCHEMA, SCHEMA)
    plot = raw.get("plot")
    if not isinstance(plot, str):
        raise EnvelopeFault("/plot", "The id of the plot.")
    epoch = raw.get("epoch")
    if epoch is not None and not isinstance(epoch, str):
        raise EnvelopeFault("/epoch", "The epoch that was pulled, as text.")
    ops = raw.get("ops")
    if not isinstance(ops, list):
        raise EnvelopeFault("/ops", "A list of operations.")
    if len(ops) > MAX_OPS:
        raise EnvelopeFault("/ops", f"At most {MAX_OPS} operations at once: send them in parts.")
    return PushEnvelope(plot, epoch, read_moment(raw.get("sent_at")), tuple(read_op(op) for op in ops))


def read_op(raw: Any) -> Op | Unreadable:
    """Read one operation; what is wrong with it is said, never raised."""
    if type(raw) is not dict:
        return Unreadable(None, (("", "An operation is a JSON object."),))
    given: Callable[[str], Any] = raw.get
    op_id, kind, record_id, type_name = given("op_id"), given("kind"), given("id"), given("type")
    base_rev, set_, after, conflicts = given("base_rev"), given("set"), given("after"), given("conflicts")
    base_epoch = given("base_epoch")
    # What phones send is fine: one look at all of it, and one rule after the other only if that finds something.
    if not (
        type(op_id) is type(record_id) is str
        and _UUID(op_id)
        and _UUID(record_id)
        and type(set_) is dict
        and type(base_rev) is int
        and 0 <= base_rev <= MAX_REV
        and kind in _KINDS
        and (after is None or _is_lineage(after))
        and (conflicts is None or _is_ids(conflicts))
        and type(type_name) is str
        and type_name in TYPES
        and (base_epoch is None or type(base_epoch) is str)
    ) and (faults := _shape_faults(raw)):
        return Unreadable(op_id if isinstance(op_id, str) else None, tuple(faults))
    set_, base_rev, conflicts = set_ or {}, base_rev or 0, tuple(conflicts or ())
    try:
        if type_name is None:
            text, checked = write_fields(set_), False
        else:
            text, checked = write_checked(type_name, set_, creating=base_rev == 0)
    except ValueError:
        return Unreadable(op_id, (("/set", "Ordinary numbers only, not NaN or infinity."),))
    if len(text) > MAX_SET:
        return Unreadable(op_id, (("/set", f"At most {MAX_SET // 1024} KiB for one record."),))
    return Op(
        op_id,
        kind,
        record_id,
        base_rev,
        set_,
        type_name,
        base_epoch,
        frozenset(after) if after else _NOTHING,
        conflicts,
        text,
        checked,
    )


def _shape_faults(raw: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Say what is wrong with the members of an operation, one rule each."""
    return [(f"/{name}", words) for name, is_fine, words in _MEMBERS if not is_fine(raw.get(name))]


def _is_uuid(value: Any) -> bool:
    return type(value) is str and _UUID(value) is not None


def _is_revision(value: Any) -> bool:
    return value is None or (type(value) is int and 0 <= value <= MAX_REV)


def _is_known_type(value: Any) -> bool:
    return value is None or (type(value) is str and value in TYPES)


def _is_text(value: Any) -> bool:
    return value is None or type(value) is str


def _is_object(value: Any) -> bool:
    return value is None or type(value) is dict


def _is_ids(value: Any) -> bool:
    if not value:
        return value is None or type(value) is list
    return type(value) is list and len(value) <= MAX_AFTER and all(map(_is_uuid, value))


def _is_lineage(value: Any) -> bool:
    """As ids, but one that is named twice counts once."""
    if not value:
        return value is None or type(value) is list
    return type(value) is list and all(map(_is_uuid, value)) and len(set(value)) <= MAX_AFTER


_KINDS = ("put", "del", "resolve")
_NOTHING: frozenset[str] = frozenset()
_IDS = f"A list of at most {MAX_AFTER} operation ids."
_MEMBERS: tuple[tuple[str, Callable[[Any], bool], str], ...] = (
    ("op_id", _is_uuid, "A UUID in lower case, made on the device."),
    ("kind", _KINDS.__contains__, "One of put, del, resolve."),
    ("id", _is_uuid, "The record's UUID in lower case."),
    ("base_rev", _is_revision, "The revision that was seen: 0 or a larger whole number."),
    ("type", _is_known_type, f"One of {', '.join(RECORD_TYPES)}."),
    ("base_epoch", _is_text, "The epoch that base_rev belongs to, as text."),
    ("set", _is_object, "An object: field name to value."),
    ("after", _is_lineage, _IDS),
    ("conflicts", _is_ids, _IDS),
)


def are_ids(values: list[str]) -> bool:
    """Say whether all of these texts are ids, all at once: a pattern takes five times as long."""
    joined = "".join(values)
    digits = joined.replace("-", "")
    if not set(map(len, values)) <= {36} or len(digits) != 32 * len(values):
        return False
    dashes = "-" * len(values)
    if any(joined[place::36] != dashes for place in (8, 13, 18, 23)):
        return False
    try:
        return bytes.fromhex(digits).hex() == digits  # which knows small letters only, and no spaces
    except ValueError:
        return False


def read_moment(value: Any) -> datetime | None:
    """Read when a phone sent something; None when it does not say so in a way that can be compared."""
    if not isinstance(value, str):
        return None
    try:
        read = datetime.fromisoformat(value)
    except ValueError:
        return None
    return read if read.tzinfo is not None else None
