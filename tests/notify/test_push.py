"""Web Push against a real HTTP server: what is sent, who signed it, who can read it, and what each answer means."""

from __future__ import annotations

import json
import re
import socket
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from tests.notify.messages import FROST, NOW, SURGE, message
from tests.notify.push_service import DROP, DROP_BEFORE, PushService, running
from tests.notify.subscriber import Subscriber
from underboard.notify import Outcome, Target
from underboard.notify.push import PushChannel, outcome_of
from underboard.notify.push_hosts import PushHosts, RefusedAddress
from underboard.notify.push_secrets import Signer, decoded, encrypt


@pytest.fixture
def service() -> Iterator[PushService]:
    with running() as made:
        yield made


@pytest.fixture
def channel(tmp_path: Path) -> PushChannel:
    return PushChannel(
        Signer(tmp_path / "push_key.pem"), PushHosts(plain_loopback=True), "mailto:may@example.org"
    )


def target(service: PushService, phone: Subscriber) -> Target:
    return Target("push", "device", {"endpoint": f"{service.url}/push/abc?x=1", **phone.keys})


def send(channel: PushChannel, service: PushService, **changes: Any) -> Outcome:
    return channel.send(message(**changes), target(service, Subscriber()))


# RFC 8291, section 5 and appendix A: keys, salt, plain text and the finished body.
RFC_8291 = {
    "plain": b"When I grow up, I want to be a watermelon",
    "sender_private": "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw",
    "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
    "auth": "BTBZMqHH6r4Tts7J_aSIgg",
    "salt": "DGv6ra1nlYgDCS1FRnbzlw",
    "body": (
        "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_"
        "yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"
    ),
}


def test_the_example_of_the_standard_comes_out_to_the_byte() -> None:
    private = int.from_bytes(decoded(str(RFC_8291["sender_private"])), "big")
    body = encrypt(
        bytes(RFC_8291["plain"]),  # type: ignore[arg-type]
        str(RFC_8291["p256dh"]),
        str(RFC_8291["auth"]),
        salt=decoded(str(RFC_8291["salt"])),
        sender=ec.derive_private_key(private, ec.SECP256R1()),
    )
    assert body == decoded(str(RFC_8291["body"]))


def test_only_the_phone_can_read_it_and_it_says_nothing_about_the_plot(
    channel: PushChannel, service: PushService
) -> None:
    phone = Subscriber()
    assert channel.send(message(FROST, SURGE), target(service, phone)) == Outcome("ok")
    (got,) = service.received
    assert phone.open(got.body) == {"n": 2, "at": "2026-05-12T20:00:00+00:00", "tag": message().id}
    assert b"watermelon" not in got.body and b'"n"' not in got.body
    with pytest.raises(Exception, match=r"[Dd]ecrypt"):
        Subscriber().open(got.body)


def test_the_head_says_how_long_it_is_worth_something_and_how_pressing_it_is(
    channel: PushChannel, service: PushService
) -> None:
    send(channel, service)
    send(channel, service, notices=(SURGE,))
    first, second = (one.headers for one in service.received)
    assert (first["TTL"], first["Urgency"], first["Topic"]) == (str(9 * 3600), "high", message().id)
    assert second["Urgency"] == "normal"
    assert (first["Content-Encoding"], first["Content-Type"]) == ("aes128gcm", "application/octet-stream")
    # RFC 8030, section 5.4: at most 32 letters of the alphabet of base64url
    assert re.fullmatch(r"[A-Za-z0-9_-]{1,32}", first["Topic"])
    assert service.received[0].path == "/push/abc?x=1"


def test_a_time_to_live_is_never_negative_nor_longer_than_services_keep(
    channel: PushChannel, service: PushService
) -> None:
    send(channel, service, expires_at=NOW - timedelta(hours=1))
    send(channel, service, expires_at=NOW + timedelta(days=90))
    assert [one.headers["TTL"] for one in service.received] == ["0", str(28 * 24 * 3600)]


def test_the_signature_is_by_the_key_that_phones_were_given(
    channel: PushChannel, service: PushService
) -> None:
    """RFC 8292, sections 2 and 3; the signature is two numbers of 32 bytes (RFC 7518, section 3.4)."""
    send(channel, service)
    found = re.fullmatch(
        r"vapid t=([\w-]+)\.([\w-]+)\.([\w-]+), k=([\w-]+)", service.received[0].headers["Authorization"]
    )
    assert found is not None
    head, claims, signature, key = found.groups()
    assert key == channel.signer.public_key
    raw = decoded(signature)
    assert len(raw) == 64
    public = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), decoded(key))
    r, s = int.from_bytes(raw[:32], "big"), int.from_bytes(raw[32:], "big")
    public.verify(encode_dss_signature(r, s), f"{head}.{claims}".encode(), ec.ECDSA(SHA256()))
    assert json.loads(decoded(head)) == {"typ": "JWT", "alg": "ES256"}
    said = json.loads(decoded(claims))
    assert said["aud"] == service.url and said["sub"] == "mailto:may@example.org"
    assert NOW.timestamp() < said["exp"] <= NOW.timestamp() + 24 * 3600


@pytest.mark.parametrize(
    ("status", "kind", "maybe"),
    [
        (200, "ok", False), (201, "ok", False), (202, "ok", False),
        (404, "gone", False), (410, "gone", False), (413, "too_large", False),
        (429, "retry", False), (500, "retry", False), (503, "retry", False),
        (400, "refused", False), (401, "refused", False), (403, "refused", False), (302, "refused", False),
        (DROP, "retry", True), (DROP_BEFORE, "retry", True),
    ],
)  # fmt: skip
def test_what_each_answer_means(
    channel: PushChannel, service: PushService, status: int, kind: str, maybe: bool
) -> None:
    service.will_answer(status, Location=f"{service.url}/elsewhere")
    outcome = send(channel, service)
    assert (outcome.kind, outcome.maybe_sent) == (kind, maybe)
    assert (outcome.words == "") == (kind == "ok")
    assert len(service.received) <= 1, "nothing is followed and nothing is sent twice"


def test_a_service_may_say_how_long_to_wait_in_seconds_or_by_a_date() -> None:
    assert outcome_of(429, "120").retry_after == 120
    assert outcome_of(503, "Tue, 12 May 2026 20:05:00 GMT", NOW).retry_after == 300
    assert outcome_of(503, "Tue, 12 May 2026 19:00:00 GMT", NOW).retry_after == 0
    assert [outcome_of(429, said).retry_after for said in (None, "soon", "")] == [None, None, None]


def test_a_message_that_is_too_large_goes_without_a_body(channel: PushChannel, service: PushService) -> None:
    assert send(channel, service, bare=True) == Outcome("ok")
    (got,) = service.received
    assert got.body == b"" and "Content-Encoding" not in got.headers
    assert got.headers["Topic"] == message().id


def test_a_service_that_cannot_be_reached_is_tried_again(channel: PushChannel) -> None:
    with socket.socket() as nobody_there:  # bound, but it does not listen
        nobody_there.bind(("127.0.0.1", 0))
        port = nobody_there.getsockname()[1]
        nobody = Target("push", "d", {"endpoint": f"http://127.0.0.1:{port}/a", **Subscriber().keys})
        assert (channel.send(message(), nobody).kind, channel.send(message(), nobody).maybe_sent) == (
            "retry",
            False,
        )


def test_without_the_setting_this_machine_is_not_called(tmp_path: Path, service: PushService) -> None:
    careful = PushChannel(Signer(tmp_path / "key"), PushHosts(), "")
    assert careful.send(message(), target(service, Subscriber())).kind == "refused"
    assert service.received == []


def test_a_known_name_that_leads_into_a_private_network_is_not_called(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Somebody who answers for the name could point it at the router or at a cloud's own address."""

    def lead_to(address: str) -> None:
        found = [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (address, 443))]
        monkeypatch.setattr(socket, "getaddrinfo", lambda *_, **__: found)

    for inside in (
        "192.168.1.1",
        "10.0.0.1",
        "127.0.0.1",
        "169.254.169.254",
        "::1",
        "fe80::1",
        "100.64.0.1",
        "224.0.0.1",
    ):
        lead_to(inside)
        with pytest.raises(RefusedAddress, match="private network"):
            PushHosts().place("https://fcm.googleapis.com/a")
        if not inside.startswith("224"):
            assert PushHosts(frozenset({"push.home.example"})).place("https://push.home.example/a").ips == (
                inside,
            )
    lead_to("142.250.180.10")
    place = PushHosts().place("https://fcm.googleapis.com/a?b")
    assert (place.origin, place.path, place.ips) == (
        "https://fcm.googleapis.com",
        "/a?b",
        ("142.250.180.10",),
    )


def test_a_service_of_ones_own_is_named_with_its_port() -> None:
    own = PushHosts(frozenset({"push.home.example:8443"}))
    own.check("https://push.home.example:8443/a")
    for other in (
        "https://push.home.example/a",
        "http://push.home.example:8443/a",
        "https://x.push.home.example:8443/a",
    ):
        with pytest.raises(RefusedAddress):
            own.check(other)


def test_the_key_is_made_once_and_read_by_nobody_else(tmp_path: Path) -> None:
    file = tmp_path / "push_key.pem"
    first = Signer(file).public_key
    assert file.stat().st_mode & 0o777 == 0o600
    assert Signer(file).public_key == first
    assert [path.name for path in tmp_path.iterdir()] == ["push_key.pem"]
