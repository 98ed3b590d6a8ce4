"""The secret of a stop link: whoever lacks the key makes none, whatever else they have."""

from __future__ import annotations

import base64
import hashlib
import hmac
import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from underboard.notify.stop_links import StopLinks

HANDLE = "Ab-_0123456789zz"


@pytest.fixture
def links(tmp_path: Path) -> StopLinks:
    return StopLinks(tmp_path / "stop_key")


def test_a_link_is_always_the_same_and_leads_back_to_its_address(links: StopLinks, tmp_path: Path) -> None:
    token = links.token(HANDLE)
    assert StopLinks(tmp_path / "stop_key").token(HANDLE) == token
    assert links.handle(token) == HANDLE
    assert stat.S_IMODE((tmp_path / "stop_key").stat().st_mode) == 0o600


def test_the_proof_is_an_hmac_by_the_standard(links: StopLinks, tmp_path: Path) -> None:
    """RFC 2104, cut to 128 bits, under a key of 256."""
    proof = links.token(HANDLE).rpartition(".")[2]
    key = bytes.fromhex((tmp_path / "stop_key").read_text())
    whole = hmac.new(key, b"stop link\0" + HANDLE.encode(), hashlib.sha256).digest()
    assert len(key) == 32 and base64.urlsafe_b64decode(proof + "==") == whole[:16]


def test_what_is_not_proven_leads_to_no_handle_that_is_kept(links: StopLinks, tmp_path: Path) -> None:
    token = links.token(HANDLE)
    other = StopLinks(tmp_path / "another_key").token(HANDLE)
    changed = token[:-2] + ("A" if token[-2] != "A" else "B") + token[-1]
    forged = [
        HANDLE, f"{HANDLE}.", f".{HANDLE}", ".", "", "..", other, changed, token + "A", token[:-1], f"{token}.",
        f"x{token}", token.swapcase(), f"{HANDLE}.{HANDLE}.{token.rpartition('.')[2]}", f"{HANDLE}.ü☔", "\0" * 80,
    ]  # fmt: skip
    for one in forged:
        found = links.handle(one)
        assert found == hashlib.sha256(one.encode()).hexdigest() and found != HANDLE, one


def test_a_link_of_an_earlier_version_leads_to_the_hash_that_was_kept_of_it(links: StopLinks) -> None:
    old = "Zk3J9wq0Yb6mT1xR8uVnC5sLh2dGfEaP"
    handle = hashlib.sha256(old.encode()).hexdigest()
    assert links.handle(old) == handle
    assert links.handle(links.token(handle)) == handle, "newer mails to the same address carry a newer link"
    assert links.handle(handle) != handle, "what the database keeps opens nothing"


def test_looking_at_a_link_makes_no_key(links: StopLinks, tmp_path: Path) -> None:
    links.handle(f"{HANDLE}.AAAAAAAAAAAAAAAAAAAAAA")
    assert list(tmp_path.iterdir()) == []


def test_of_many_that_make_the_key_at_once_one_wins(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        tokens = set(pool.map(lambda _: StopLinks(tmp_path / "stop_key").token(HANDLE), range(16)))
    assert len(tokens) == 1 and [path.name for path in tmp_path.iterdir()] == ["stop_key"]


@pytest.mark.parametrize("left", ["", "\n", "00", "0" * 63, "no key"])
def test_a_key_that_was_cut_off_proves_nothing(links: StopLinks, tmp_path: Path, left: str) -> None:
    (tmp_path / "stop_key").write_text(left)
    for ask in (links.token, lambda handle: links.handle(f"{handle}.AAAA")):
        with pytest.raises(ValueError, match="remove it"):
            ask(HANDLE)
