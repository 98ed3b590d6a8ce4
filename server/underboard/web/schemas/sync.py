"""The envelopes of push and pull."""

from __future__ import annotations

from marshmallow import INCLUDE, Schema, fields, validate

from underboard.core.records import RECORD_TYPES
from underboard.web.schemas.answers import ProblemSchema
from underboard.web.schemas.kinds import FreeObject, Instant, Items, Text, Whole, YesNo, uuid_text

STATUSES = ("applied", "merged", "duplicate", "conflict", "rejected", "reused", "retry")
WHYS = ("overlap", "deleted", "delete-vs-edit")
RESOLVE_DOC = "resolve: ids of the conflicts that this closes, and no others."


class PushOpSchema(Schema):
    """One act of a person on one record."""

    op_id = uuid_text(required=True, metadata={"description": "Made on the phone; the same in every retry."})
    kind = Text(required=True, validate=validate.OneOf(("put", "del", "resolve")))
    id = uuid_text(required=True, metadata={"description": "The record (UUIDv7 made on the phone)."})
    type = Text(metadata={"description": "Record type; needed to create.", "x-known": list(RECORD_TYPES)})
    base_rev = Whole(
        required=True, metadata={"description": "Revision that the person saw; 0 for a new one."}
    )
    base_epoch = Text(metadata={"description": "Epoch that base_rev belongs to."})
    after = Items(
        uuid_text(), metadata={"description": "Own earlier operations on the record since base_rev."}
    )
    set = FreeObject(metadata={"description": "Fields that changed, by the schema of the record type."})
    conflicts = Items(uuid_text(), metadata={"description": RESOLVE_DOC})

    class Meta:
        unknown = INCLUDE


class PushEnvelopeSchema(Schema):
    """Up to 500 operations, at most one per record."""

    protocol = Whole(required=True, validate=validate.Equal(1))
    schema = Whole(required=True, metadata={"description": "Record schema the app was made for."})
    plot = uuid_text(required=True)
    epoch = Text(required=True)
    device = Text(metadata={"description": "For the reader only: the token says who sends."})
    sent_at = Instant(required=True, metadata={"description": "The phone's clock; never used to order."})
    ops = Items(fields.Nested(PushOpSchema), required=True, validate=validate.Length(max=500))

    class Meta:
        unknown = INCLUDE


class ConflictSchema(Schema):
    """A value that lost nothing: kept beside the record until a person settles it."""

    id = uuid_text(required=True, metadata={"description": "op_id of the operation that caused it."})
    device = Text(
        required=True, allow_none=True, metadata={"description": "Name of the device it came from."}
    )
    why = Text(required=True, validate=validate.OneOf(WHYS))
    base_rev = Whole(metadata={"description": "The revision its person had seen."})
    set = FreeObject(required=True)


class PulledRecordSchema(Schema):
    """The newest state of a record; a deleted one has no body."""

    id = uuid_text(required=True)
    type = Text()
    rev = Whole(required=True)
    seq = Whole(required=True)
    deleted = YesNo(required=True)
    body = FreeObject()
    conflicts = Items(fields.Nested(ConflictSchema))
    clock_suspect = YesNo(metadata={"description": "Sent by a device whose clock was far off."})


class PushResultSchema(Schema):
    """What became of one operation."""

    op_id = Text(required=True, allow_none=True)
    status = Text(required=True, validate=validate.OneOf(STATUSES))
    rev = Whole()
    seq = Whole()
    record = fields.Nested(PulledRecordSchema)
    problem = fields.Nested(ProblemSchema)


class PushAnswerSchema(Schema):
    """One result per operation, in the order of the operations."""

    epoch = Text(required=True)
    server_now = Instant(required=True)
    results = Items(fields.Nested(PushResultSchema), required=True)


class PullQuerySchema(Schema):
    """Which page."""

    plot = Text(required=True, metadata={"description": "Id of the plot."})
    cursor = Text(metadata={"description": "From the answer before; left out at first."})
    limit = fields.Integer(load_default=500, validate=validate.Range(1, 1000))
    deletions = fields.Boolean(
        load_default=False,
        metadata={
            "description": "Without a cursor: old deletions too, for a phone that held records before."
        },
    )


class PullAnswerSchema(Schema):
    """A page of records in the order of `seq`, and where to go on."""

    epoch = Text(required=True)
    schema = Whole(required=True)
    records = Items(fields.Nested(PulledRecordSchema), required=True)
    cursor = Text(required=True)
    more = YesNo(required=True)
    server_now = Instant(required=True)
