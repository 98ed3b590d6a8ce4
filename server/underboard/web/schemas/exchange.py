"""What comes in from elsewhere: how a file was read, what became of it, which imports stand."""

from __future__ import annotations

from datetime import date

from marshmallow import Schema, fields, validate

from underboard.web.schemas.kinds import FreeObject, Items, Text, Whole, YesNo

FIRST_YEAR, LAST_YEAR = 1900, 2200


class ImportQuerySchema(Schema):
    """How to read the file that is the body."""

    name = Text(load_default="a file", metadata={"description": "What the file is called."})
    plan = Text(
        load_default="{}",
        metadata={
            "description": "JSON object that corrects the guess: type, columns {head: what it is}, day_first, "
            "station, unit (degC or degF)."
        },
    )


class ColumnSchema(Schema):
    """One column of the file."""

    head = Text(required=True)
    is_ = Text(required=True, data_key="is", attribute="is", metadata={"description": "Empty: left out."})
    unit = Text()


class RefusalSchema(Schema):
    """A row that is not taken in."""

    row = Whole(required=True)
    field = Text(required=True)
    why = Text(required=True)


class PreviewSchema(Schema):
    """What a file would bring; nothing is written. A bundle has no columns."""

    type = Text(required=True)
    columns = Items(fields.Nested(ColumnSchema), required=True)
    day_first = YesNo(required=True)
    date_order_is_open = YesNo(required=True)
    station = Text(required=True)
    own = YesNo(required=True, metadata={"description": "One of our own tables; its columns are known."})
    choices = Items(Text(), required=True, metadata={"description": "What a column can be."})
    types = Items(Text(), required=True, metadata={"description": "What the rows of a file can be."})
    rows = Whole(required=True)
    first_rows = Items(Items(Text()), required=True)
    would_take = FreeObject(required=True)
    here_already = Whole(required=True)
    blank = Whole(required=True)
    refused = Whole(required=True)
    refusals = Items(fields.Nested(RefusalSchema), required=True)
    samples = Items(FreeObject(), required=True)
    words = Text(required=True)


class TakenSchema(Schema):
    """What became of an import."""

    import_id = Text(required=True, allow_none=True, metadata={"description": "null: nothing was new."})
    taken = FreeObject(required=True)
    here_already = Whole(required=True)
    refused = Whole(required=True)
    refusals = Items(fields.Nested(RefusalSchema), required=True)
    photos = Whole(required=True)


class StandingImportSchema(Schema):
    """An import that stands and can be undone."""

    import_id = Text(required=True)
    at = Text(required=True, allow_none=True)
    by = Text(required=True, allow_none=True)
    words = Text(required=True, allow_none=True)
    records = Whole(required=True)


class ImportsSchema(Schema):
    """The imports of a plot, newest first."""

    imports = Items(fields.Nested(StandingImportSchema), required=True)


class ReportQuerySchema(Schema):
    """Which report, in which form."""

    form = Text(load_default="html", validate=validate.OneOf(("html", "pdf")))
    until = fields.Date(
        validate=validate.Range(date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31)),
        metadata={"description": "Last day of the week; today when left out."},
    )
    year = fields.Integer(
        validate=validate.Range(FIRST_YEAR, LAST_YEAR), metadata={"description": "This one when left out."}
    )
    language = Text(
        validate=validate.OneOf(("en", "de")),
        metadata={"description": "Of its words, numbers and dates; by Accept-Language when left out."},
    )


class StaySchema(Schema):
    """A record that an undo left, and why."""

    id = Text(required=True)
    type = Text(required=True)
    why = Text(
        required=True,
        metadata={
            "description": "conflict: two values are open; edited: changed since; named: something that stays needs it."
        },
    )
    label = Text(required=True)
    observed_at = Text(required=True, allow_none=True)


class UndoneSchema(Schema):
    """What an undo removed, and what it left because somebody has worked on it since."""

    removed = Whole(required=True)
    kept = Items(Text(), required=True)
    stays = Items(fields.Nested(StaySchema), required=True)
