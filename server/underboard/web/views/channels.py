"""Ways by which warnings reach people: notices on this phone, mail addresses, the calendar's address."""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta
from typing import Any

from flask import Response, request

from underboard.core.errors import NotHere
from underboard.notify import Message, Target, channels_of
from underboard.notify.push_hosts import PushHosts, RefusedAddress
from underboard.notify.push_secrets import BadKeys, Signer, check_keys
from underboard.store import feeds, targets
from underboard.store.people import Device
from underboard.store.reach import EMAIL, PUSH, note_trial, target_of
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.limits import CHANNELS, TRIALS
from underboard.web.problems import Problem
from underboard.web.roles import Act, may
from underboard.web.schemas.channels import (
    ChannelsSchema,
    MadeFeedSchema,
    MadeTargetSchema,
    MailAddressSchema,
    SubscriptionSchema,
    TrialMessageSchema,
)
from underboard.web.services import services

subject = Subject("channels", __name__, "How warnings reach people.")
MOST_ADDRESSES = 20


@subject.route("/channels")
@subject.response(200, ChannelsSchema)
def channels() -> dict[str, Any]:
    """Say how warnings leave this plot, and which ways are broken.

    Mail addresses are spelled out for owners only.
    """
    from underboard.notify.mail import MailServer  # smtplib, only for whoever looks

    asking = require(Act.READ)
    settings = services().settings
    found = targets.standings(asking.plot_id)
    feed = feeds.feed_of(asking.plot_id)
    return {
        "push": {
            "public_key": Signer(settings.push_key_file).public_key,
            "phones": [_shown(one, asking) for one in found if one.channel == PUSH],
        },
        "email": {
            "set_up": MailServer.of(settings) is not None,
            "addresses": [_shown(one, asking) for one in found if one.channel == EMAIL],
        },
        "calendar": feed and {"made_at": feed.made_at.isoformat(), "last_read_at": _text(feed.last_read_at)},
    }


@subject.route("/channels/push", methods=["PUT"])
@subject.arguments(SubscriptionSchema, act=Act.READ)
@subject.response(204)
@subject.alt_response(422, description="Not a push service that this server may call, or broken keys.")
def subscribe(wish: dict[str, str]) -> Response:
    """Send notices to this device from now on; a newer subscription replaces the older one."""
    device = _limited(require(Act.READ))
    try:
        PushHosts.of(services().settings).check(wish["endpoint"])
    except RefusedAddress as fault:
        raise _refused("/endpoint", str(fault)) from fault
    try:
        check_keys(wish["p256dh"], wish["auth"])
    except BadKeys as fault:
        raise _refused("/p256dh", str(fault)) from fault
    targets.subscribe_phone(
        device.plot_id, device.id, wish["endpoint"], wish["p256dh"], wish["auth"], services().now()
    )
    return Response(status=204)


@subject.route("/channels/push", methods=["DELETE"])
@subject.response(204)
def unsubscribe() -> Response:
    """Send no more notices to this device."""
    targets.unsubscribe_phone(_limited(require(Act.READ)).id)
    return Response(status=204)


@subject.route("/channels/email", methods=["POST"])
@subject.arguments(MailAddressSchema, act=Act.MANAGE)
@subject.response(201, MadeTargetSchema)
def add_address(wish: dict[str, str]) -> dict[str, str]:
    """Send the plot's warnings to a mail address too. For owners."""
    device = _limited(require(Act.MANAGE))
    known = [one for one in targets.standings(device.plot_id) if one.channel == EMAIL]
    if len(known) >= MOST_ADDRESSES:
        raise Problem("validation", f"{MOST_ADDRESSES} addresses are the most: take one off first.")
    name, _, domain = wish["address"].rpartition("@")
    return {"id": targets.add_address(device.plot_id, f"{name}@{domain.lower()}", services().now())}


@subject.route("/channels/email/<target_id>", methods=["DELETE"])
@subject.response(204)
def remove_address(target_id: str) -> Response:
    """Take a mail address off the list. For owners."""
    device = _limited(require(Act.MANAGE))
    try:
        targets.remove_address(device.plot_id, target_id)
    except NotHere as fault:
        raise Problem("not-found", str(fault)) from fault
    return Response(status=204)


@subject.route("/channels/calendar", methods=["POST"])
@subject.response(201, MadeFeedSchema)
def make_feed() -> dict[str, str]:
    """Make the calendar's secret address; one made before ends. For owners."""
    device = _limited(require(Act.MANAGE))
    secret = feeds.make_feed(device.plot_id, services().now())
    base = services().settings.public_url.rstrip("/") or request.host_url.rstrip("/")
    return {"url": f"{base}/calendar/{secret}.ics"}


@subject.route("/channels/calendar", methods=["DELETE"])
@subject.response(204)
def revoke_feed() -> Response:
    """Let nobody read the calendar by its address any more. For owners."""
    feeds.revoke_feed(_limited(require(Act.MANAGE)).plot_id)
    return Response(status=204)


@subject.route("/channels/<any(push, email):channel>/<target_id>/trial", methods=["POST"])
@subject.response(200, TrialMessageSchema)
def trial(channel: str, target_id: str) -> dict[str, Any]:
    """Send a trial message now. Everybody to their own phone, owners to any phone or address of the plot."""
    device = require(Act.READ)
    if target_id != device.id:
        require(Act.MANAGE)
    wait = services().limits.take(TRIALS, device.id)
    if wait:
        raise Problem("too-many", "Too many trials: wait a little.", retry_after=wait)
    address = target_of(device.plot_id, channel, target_id)
    if address is None:
        raise Problem("not-found", "Nothing can be sent there: it is not known, or it was stopped.")
    now = services().now()
    message = Message(
        id=secrets.token_hex(16),
        plot_name=None,
        time_zone=None,
        notices=(),
        sent_at=now,
        expires_at=now + timedelta(minutes=10),
    )
    outcome = channels_of(services().settings)[channel].send(message, Target(channel, target_id, address))
    note_trial(channel, target_id, outcome.kind, outcome.words, services().now())
    return {"arrived": outcome.kind == "ok", "words": outcome.words}


def _limited(device: Device) -> Device:
    wait = services().limits.take(CHANNELS, device.id)
    if wait:
        raise Problem("too-many", "Too many changes at once: wait a little.", retry_after=wait)
    return device


def _refused(pointer: str, detail: str) -> Problem:
    return Problem("validation", detail, errors=[{"pointer": pointer, "detail": detail}])


def _shown(one: targets.Standing, asking: Device) -> dict[str, Any]:
    hidden = one.channel == EMAIL and not may(asking.role, Act.MANAGE)
    return {
        "id": one.id,
        "label": f"{one.label[0]}…@{one.label.rpartition('@')[2]}" if hidden else one.label,
        "state": one.state,
        "words": one.words,
        "made_at": one.made_at.isoformat(),
        "last_sent_at": _text(one.last_sent_at),
        "failing_since": _text(one.failing_since),
        "this_device": one.id == asking.id,
    }


def _text(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment is not None else None
