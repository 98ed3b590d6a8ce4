"""Small answers and questions: who is there, pairing, devices, problems."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from underboard.web.roles import ROLES
from underboard.web.schemas.kinds import Instant, Items, Text, Whole, YesNo, uuid_text


class ProblemFaultSchema(Schema):
    """One value that can't be taken."""

    pointer = Text(required=True, metadata={"description": "JSON pointer (RFC 6901) to the value."})
    detail = Text(required=True, metadata={"description": "What would be right."})


class ProblemSchema(Schema):
    """An error answer (RFC 9457)."""

    type = Text(required=True, metadata={"description": "Kind of problem, such as /problems/epoch."})
    title = Text(required=True, metadata={"description": "The kind in words."})
    status = Whole(required=True, metadata={"description": "HTTP status."})
    detail = Text(metadata={"description": "What went wrong here and what to do."})
    errors = Items(fields.Nested(ProblemFaultSchema), metadata={"description": "Values that can't be taken."})
    request_id = Text(metadata={"description": "To find this request in the server's log."})
    epoch = Text(metadata={"description": "Epoch problem: the epoch that holds now."})
    min = Whole(metadata={"description": "Schema problem: oldest schema taken."})
    max = Whole(metadata={"description": "Schema problem: newest schema known."})
    max_bytes = Whole(metadata={"description": "Too large: what is taken at most [bytes]."})
    max_ops = Whole(metadata={"description": "Too large: how many operations are taken at most."})


class SchemaRangeSchema(Schema):
    """Which record schemas the server understands."""

    min = Whole(required=True)
    max = Whole(required=True)


class HelloSchema(Schema):
    """Who answers here; asked before every sync, so that a stranger's network is told from home."""

    app = Text(required=True, validate=validate.Equal("underboard"))
    server_id = Text(required=True, metadata={"description": "This server's own id."})
    protocol = Whole(required=True)
    version = Text(required=True)
    schema = fields.Nested(SchemaRangeSchema, required=True)
    server_now = Instant(required=True)
    claimed = YesNo(required=True, metadata={"description": "Whether somebody owns a plot here already."})
    secure = YesNo(
        required=True,
        metadata={
            "description": "Whether this address lets a phone keep records offline (https or this machine)."
        },
    )
    https = Items(
        Text(), required=True, metadata={"description": "Where this server is found by https, best first."}
    )


class PairRequestSchema(Schema):
    """A one-time code in exchange for a place in the plot."""

    code = Text(required=True, validate=validate.Length(1, 64))
    device_name = Text(required=True, validate=validate.Length(1, 80))
    want = Text(load_default="cookie", validate=validate.OneOf(("cookie", "token")))


class PairAnswerSchema(Schema):
    """The new device; `token` only for loggers and scripts that asked for one."""

    device_id = uuid_text(required=True)
    plot_id = uuid_text(required=True)
    role = Text(required=True, validate=validate.OneOf(ROLES))
    plot_name = Text(required=True, allow_none=True)
    token = Text(metadata={"description": "Bearer token, shown this once."})


class MeSchema(Schema):
    """The device that asks."""

    device_id = uuid_text(required=True)
    device_name = Text(required=True)
    plot_id = uuid_text(required=True)
    plot_name = Text(required=True, allow_none=True)
    role = Text(required=True, validate=validate.OneOf(ROLES))


class DeviceSchema(Schema):
    """One paired phone, logger or script."""

    id = uuid_text(required=True)
    name = Text(required=True)
    role = Text(required=True, validate=validate.OneOf(ROLES))
    kind = Text(required=True, metadata={"description": "cookie (a browser) or token (a logger or script)."})
    paired_at = Instant(required=True)
    last_seen_at = Instant(required=True, allow_none=True)
    last_push_at = Instant(required=True, allow_none=True)
    revoked_at = Instant(required=True, allow_none=True)
    this_device = YesNo(required=True)


class DevicesSchema(Schema):
    """All devices of the plot."""

    devices = Items(fields.Nested(DeviceSchema), required=True)


class CodeRequestSchema(Schema):
    """A wish for a code that lets one more device in."""

    role = Text(load_default="helper", validate=validate.OneOf(ROLES))


class CodeAnswerSchema(Schema):
    """A one-time code; the part of the address behind # never leaves the phone."""

    code = Text(required=True)
    url = Text(required=True)
    expires_at = Instant(required=True)
    seconds = Whole(
        required=True,
        metadata={"description": "How long it is good for from now: clocks of phones go wrong."},
    )
    trust_url = Text(
        required=True,
        allow_none=True,
        metadata={
            "description": "Where a phone that does not trust this household yet begins; null: nowhere."
        },
    )


class BlobSchema(Schema):
    """A photo that is kept."""

    sha256 = Text(required=True)
    bytes = Whole(required=True)
