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
    disputed = Items(Text(), required=True)
    by_place = FreeObject(required=True)


class PressureSchema(Schema):
    """Slug pressure, round by round."""

    rounds = Items(fields.Nested(RoundPressureSchema), required=True)
