"""What was done to a record, and what was removed."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from underboard.web.schemas.kinds import FreeObject, Items, Text, Whole, YesNo, uuid_text
from underboard.web.schemas.sync import WHYS

MAX_PAGE = 200
_BEFORE = "From `next_before` of the answer before; left out at first."


class HistoryQuerySchema(Schema):
    """Which page, newest first."""

    before = fields.Integer(
        load_default=None, validate=validate.Range(1, 2**53 - 1), metadata={"description": _BEFORE}
    )
    limit = fields.Integer(load_default=50, validate=validate.Range(1, MAX_PAGE))


class FieldChangeSchema(Schema):
    """One field, before and after; null is "nothing there"."""

    name = Text(required=True)
    before = fields.Raw(data_key="from", required=True, allow_none=True)
    after = fields.Raw(
        data_key="to",
        required=True,
        allow_none=True,
        metadata={"description": "The new value; of a change that was kept beside, what was meant."},
    )


class SettledSchema(Schema):
    """Who settled it."""

    device_id = Text(required=True)
    device = Text(required=True, allow_none=True)
    received_at = Text(required=True)


class ChangeSchema(Schema):
    """One change of a record."""

    rev = Whole(required=True, metadata={"description": "The revision that it made."})
    op_id = uuid_text(required=True)
    what = Text(
        required=True,
        validate=validate.OneOf(("made", "changed", "kept", "settled", "removed")),
        metadata={
            "description": "kept: beside the record, because somebody else had changed the same field, or "
            "one had removed what another changed."
        },
    )
    device_id = Text(required=True)
    device = Text(required=True, allow_none=True, metadata={"description": "Name of the device."})
    received_at = Text(required=True, metadata={"description": "When the server took it, UTC."})
    fields_ = Items(fields.Nested(FieldChangeSchema), data_key="fields", attribute="fields", required=True)
    why = Text(allow_none=True, validate=validate.OneOf(WHYS), metadata={"description": "kept: why."})
    outcome = Text(
        allow_none=True,
        validate=validate.OneOf(("open", "taken", "left", "other")),
        metadata={
            "description": "kept: not settled yet; what was meant was taken; what stood was left; another "
            "value was typed."
        },
    )
    settled = fields.Nested(SettledSchema, allow_none=True, metadata={"description": "kept: by whom."})
    settles = Items(uuid_text(), metadata={"description": "settled: op_ids of the changes it settles."})


class HistorySchema(Schema):
    """A page of a record's changes, newest first."""

    record_id = uuid_text(required=True)
    type = Text(required=True, allow_none=True)
    rev = Whole(required=True)
    deleted = YesNo(required=True)
    changes = Items(fields.Nested(ChangeSchema), required=True)
    next_before = Whole(required=True, allow_none=True)


class RemovedRecordSchema(Schema):
    """A record that was removed and not put back."""

    id = uuid_text(required=True)
    type = Text(required=True)
    seq = Whole(required=True)
    body = FreeObject(required=True, metadata={"description": "As it was when it was removed."})
    returned_id = uuid_text(
        required=True, metadata={"description": "The id to put it back under, so that two people make one."}
    )
    device_id = Text(required=True)
    device = Text(required=True, allow_none=True)
    received_at = Text(required=True)


class RemovedSchema(Schema):
    """What was removed, newest first. A page may hold fewer than `limit`: what was put back is left out."""

    records = Items(fields.Nested(RemovedRecordSchema), required=True)
    next_before = Whole(required=True, allow_none=True)
