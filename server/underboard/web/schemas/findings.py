"""Readings of a logger coming in, findings going out."""

from __future__ import annotations

from marshmallow import INCLUDE, Schema, fields, validate

from underboard.web.schemas.kinds import Decimal, FreeObject, Items, Text, Whole, YesNo
from underboard.web.schemas.sync import STATUSES

MAX_READINGS = 500


class ReadingsSchema(Schema):
    """A logger's batch: each reading holds the fields of a `temperature` record."""

    readings = Items(
        FreeObject(),
        required=True,
        validate=validate.Length(1, MAX_READINGS),
        metadata={"description": "station_id, observed_at, and any of current, max, min {value, unit}."},
    )

    class Meta:
        unknown = INCLUDE


class ReadingResultSchema(Schema):
    """What became of one reading, in the order they were sent."""

    status = Text(required=True, validate=validate.OneOf(STATUSES))
    id = Text(metadata={"description": "The record's id."})
    problem = FreeObject()


class ReadingsAnswerSchema(Schema):
    """One result a reading."""

    results = Items(fields.Nested(ReadingResultSchema), required=True)


class RoundPressureSchema(Schema):
    """What one dawn round says; means in slugs a board."""

    round_id = Text(required=True)
    observed_at = Text(required=True)
    valid = YesNo(required=True)
    not_valid_reason = Text(required=True, allow_none=True)
    n_boards = Whole(required=True)
    total = Whole(required=True)
    worst_total = Whole(required=True, metadata={"description": "With disputed counts at their highest."})
    mean = Decimal(required=True, allow_none=True)
    low = Decimal(required=True, allow_none=True, metadata={"description": "95 % interval of the mean."})
    high = Decimal(required=True, allow_none=True)
    model = Text(required=True, allow_none=True)
    not_turned = Whole(required=True)
    spoiled = Whole(required=True)
    double_counts = Items(Text(), required=True)
    kept_both = Items(
        Text(), required=True, metadata={"description": "Double counts that a person chose to leave so."}
    )
    disputed = Items(Text(), required=True)
    by_place = FreeObject(required=True)


class PressureSchema(Schema):
    """Slug pressure, round by round."""

    rounds = Items(fields.Nested(RoundPressureSchema), required=True)


class ReplayQuerySchema(Schema):
    """Which rule, over which local dates."""

    rule = Text(load_default="frost", metadata={"description": "Name of the rule."})
    first = fields.Date(data_key="from", metadata={"description": "First local date; all when left out."})
    last = fields.Date(data_key="to", metadata={"description": "Last local date, included."})


class CallsSchema(Schema):
    """Warned or not against came or not; shares are null where they are undefined."""

    hits = Whole(required=True)
    misses = Whole(required=True)
    false_alarms = Whole(required=True)
    correct_negatives = Whole(required=True)
    pod = Decimal(required=True, allow_none=True, metadata={"description": "Share of events warned of."})
    far = Decimal(required=True, allow_none=True, metadata={"description": "Share of warnings for nothing."})
    csi = Decimal(required=True, allow_none=True)
    bias = Decimal(required=True, allow_none=True)
    cost = Decimal(
        required=True, metadata={"description": "Warnings times their cost, and misses times their loss."}
    )


class PublishedCallsSchema(CallsSchema):
    """What a published method would have done on the same occasions."""

    method = Text(required=True)


class BesideSchema(Schema):
    """Doing without the rule."""

    always = fields.Nested(CallsSchema, required=True)
    never = fields.Nested(CallsSchema, required=True)
    published = fields.Nested(PublishedCallsSchema, required=True)


class ReplaySchema(CallsSchema):
    """How a rule would have done, the same as `underboard replay` says."""

    plot_id = Text(required=True)
    rule = Text(required=True)
    event = Text(required=True, metadata={"description": "What counts as having come."})
    n = Whole(required=True)
    first = Text(data_key="from", attribute="from", required=True, allow_none=True)
    last = Text(data_key="to", attribute="to", required=True, allow_none=True)
    settings = FreeObject(required=True)
    brier = Decimal(required=True, allow_none=True)
    brier_climatology = Decimal(required=True, allow_none=True)
    brier_skill = Decimal(required=True, allow_none=True)
    reliability = Items(FreeObject(), required=True)
    lead_hours = Decimal(required=True, allow_none=True)
    unread = Whole(required=True, metadata={"description": "Times it came when the rule could not be asked."})
    cost_of_a_warning = Decimal(required=True)
    loss_of_a_miss = Decimal(required=True)
    beside = fields.Nested(BesideSchema, required=True)
    says = Items(Text(), required=True)
