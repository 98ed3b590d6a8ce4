"""Ways by which warnings reach people: notices on phones, mail addresses, the calendar."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from underboard.web.schemas.kinds import Instant, Items, Text, YesNo, uuid_text

STATES = ("ok", "failing", "dead", "stopped")
# What a browser takes as a mail address (HTML standard, "Valid email address"); letters beyond ASCII need a
# mail server that takes them, which few home set-ups have.
_LABEL = "[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?"
MAIL_SHAPE = rf"^[A-Za-z0-9.!#$%&'*+/=?^_`{{|}}~-]{{1,64}}@{_LABEL}(?:\.{_LABEL})*\Z"


class TargetSchema(Schema):
    """One phone or mail address, and how it does."""

    id = uuid_text(required=True)
    label = Text(required=True, metadata={"description": "Name of the device, or the mail address."})
    state = Text(
        required=True,
        validate=validate.OneOf(STATES),
        metadata={
            "description": "failing: tried again later; dead: nothing arrives; stopped: its reader said so."
        },
    )
    words = Text(required=True, allow_none=True, metadata={"description": "What is wrong and what mends it."})
    made_at = Instant(required=True)
    last_sent_at = Instant(required=True, allow_none=True)
    failing_since = Instant(required=True, allow_none=True)
    this_device = YesNo(required=True)


class PushStateSchema(Schema):
    """Notices on phones."""

    public_key = Text(required=True, metadata={"description": "For applicationServerKey (RFC 8292)."})
    phones = Items(fields.Nested(TargetSchema), required=True)


class MailStateSchema(Schema):
    """Mails."""

    set_up = YesNo(required=True, metadata={"description": "Whether this server knows a mail server."})
    addresses = Items(fields.Nested(TargetSchema), required=True)


class CalendarStateSchema(Schema):
    """The calendar's secret address; the secret itself is shown once, when it is made."""

    made_at = Instant(required=True)
    last_read_at = Instant(required=True, allow_none=True)


class ChannelsSchema(Schema):
    """Every way out of this plot."""

    push = fields.Nested(PushStateSchema, required=True)
    email = fields.Nested(MailStateSchema, required=True)
    calendar = fields.Nested(CalendarStateSchema, required=True, allow_none=True)


class SubscriptionSchema(Schema):
    """What a browser's PushSubscription holds: where to send to, and the keys to encrypt with."""

    endpoint = Text(required=True, validate=validate.Length(1, 2048))
    p256dh = Text(required=True, validate=validate.Length(80, 100))
    auth = Text(required=True, validate=validate.Length(20, 32))


class MailAddressSchema(Schema):
    """One mail address."""

    address = Text(
        required=True,
        validate=[
            validate.Length(3, 254),
            validate.Regexp(MAIL_SHAPE, error="Not a mail address such as name@example.org."),
        ],
    )


class MadeTargetSchema(Schema):
    """Something that was added."""

    id = uuid_text(required=True)


class MadeFeedSchema(Schema):
    """The calendar's address, shown this once."""

    url = Text(required=True)


class TrialMessageSchema(Schema):
    """What became of a trial message."""

    arrived = YesNo(required=True, metadata={"description": "Whether the other side has taken it."})
    words = Text(required=True, metadata={"description": "What is wrong and what mends it; empty when well."})
