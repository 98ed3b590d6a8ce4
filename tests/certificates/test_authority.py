"""What the household's authority signs is taken for its names and refused for all others. OpenSSL judges."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID

from tests.certificates.handshake import judge
from underboard.certificates import authority as making
from underboard.certificates.authority import Authority, issue, make_authority, names_in
from underboard.certificates.bounds import Bounds, address_of, name_of, network_of
from underboard.core.errors import CertificateFault

NOW = datetime.now(UTC).replace(microsecond=0)
NAMES, ADDRESSES = ("plot.home.arpa",), (ip_address("192.168.7.20"), ip_address("fd12::5"))
BOUNDS = Bounds(NAMES, (ip_network("192.168.7.0/24"), ip_network("fd12::/64")))


@pytest.fixture(scope="module")
def household() -> Authority:
    return make_authority(BOUNDS, NOW)


class Anywhere(Bounds):
    """Bounds that forget to look: what a thief of the key would use."""

    def outside(self, names: object, addresses: object) -> list[str]:
        return []


def stolen(household: Authority, names: tuple[str, ...], addresses: tuple[str, ...] = ()) -> bytes:
    """A certificate signed with the household's key by somebody who does not care for the bounds."""
    thief = type("Thief", (Authority,), {"bounds": property(lambda self: Anywhere((), ()))})
    return issue(
        thief(household.key, household.issuing, household.root),
        names,
        [ip_address(a) for a in addresses],
        NOW,
    )


@pytest.mark.parametrize("host", ["plot.home.arpa", "192.168.7.20", "fd12::5"])
def test_a_phone_that_trusts_the_household_takes_its_server(
    household: Authority, tmp_path: Path, host: str
) -> None:
    assert judge(issue(household, NAMES, ADDRESSES, NOW), household.root, host, tmp_path) == ""


def test_a_name_that_is_not_in_the_certificate_is_refused(household: Authority, tmp_path: Path) -> None:
    pem = issue(household, NAMES, ADDRESSES, NOW)
    assert "mismatch" in judge(pem, household.root, "shed.plot.home.arpa", tmp_path)
    assert "mismatch" in judge(pem, household.root, "192.168.7.21", tmp_path)


@pytest.mark.parametrize(
    ("host", "names", "addresses"),
    [
        ("bank.example", ("bank.example",), ()),
        ("evilplot.home.arpa", ("evilplot.home.arpa",), ()),
        ("home.arpa", ("home.arpa",), ()),
        ("192.168.8.20", (), ("192.168.8.20",)),
        ("8.8.8.8", (), ("8.8.8.8",)),
        ("2001:db8::1", (), ("2001:db8::1",)),
    ],
)
def test_with_the_stolen_key_nothing_outside_the_bounds_can_be_shammed(
    household: Authority, tmp_path: Path, host: str, names: tuple[str, ...], addresses: tuple[str, ...]
) -> None:
    assert judge(stolen(household, names, addresses), household.root, host, tmp_path) == (
        "permitted subtree violation"
    )


@pytest.mark.parametrize(
    ("bounds", "host", "names", "addresses"),
    [
        (Bounds(NAMES, ()), "8.8.8.8", (), ("8.8.8.8",)),
        (Bounds(NAMES, ()), "2001:db8::1", (), ("2001:db8::1",)),
        (Bounds((), BOUNDS.networks), "bank.example", ("bank.example",), ()),
    ],
)
def test_a_kind_of_name_that_nobody_asked_for_is_excluded_and_not_forgotten(
    tmp_path: Path, bounds: Bounds, host: str, names: tuple[str, ...], addresses: tuple[str, ...]
) -> None:
    narrow = make_authority(bounds, NOW)
    assert (
        judge(stolen(narrow, names, addresses), narrow.root, host, tmp_path) == "excluded subtree violation"
    )


def test_the_second_step_holds_the_bounds_even_where_those_of_the_root_are_ignored(
    household: Authority, tmp_path: Path
) -> None:
    """RFC 5280, 6.1: what stands in a trust anchor may be ignored. Here the anchor has no bounds at all."""
    free_key = making._new_key()
    name = making._name("A root without bounds")
    free = (
        making._begin(name, name, free_key, NOW - timedelta(days=1), NOW + timedelta(days=9))
        .add_extension(x509.BasicConstraints(ca=True, path_length=1), critical=True)
        .sign(free_key, making.hashes.SHA256())
    )
    issuing = (
        making._authority(household.issuing.subject, name, household.key, NOW, BOUNDS, steps_below=0)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(making._signed_by(free), critical=False)
        .sign(free_key, making.hashes.SHA256())
    )
    below = replace(household, issuing=issuing, root=free)
    assert judge(issue(below, NAMES, (), NOW), free, "plot.home.arpa", tmp_path) == ""
    assert (
        judge(stolen(below, ("bank.example",)), free, "bank.example", tmp_path)
        == "permitted subtree violation"
    )


def test_what_stands_in_the_certificates(household: Authority) -> None:
    leaf, issuing = x509.load_pem_x509_certificates(issue(household, NAMES, ADDRESSES, NOW))
    assert names_in(leaf) == (NAMES, ADDRESSES)
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc == timedelta(days=397)
    usage = leaf.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]  # iOS asks for it
    for one, below in ((issuing, 0), (household.root, 1)):
        bounds = one.extensions.get_extension_for_class(x509.NameConstraints)
        assert bounds.critical and Bounds.of(one) == BOUNDS
        basic = one.extensions.get_extension_for_class(x509.BasicConstraints)
        assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, below)
    issuing.verify_directly_issued_by(household.root)
    assert issuing.public_key() != household.root.public_key()


def test_another_household_is_a_stranger(household: Authority, tmp_path: Path) -> None:
    pem = issue(make_authority(BOUNDS, NOW), NAMES, ADDRESSES, NOW)
    assert "unable to get local issuer" in judge(pem, household.root, "plot.home.arpa", tmp_path)


def test_a_certificate_that_is_over_is_refused(household: Authority, tmp_path: Path) -> None:
    old = issue(household, NAMES, ADDRESSES, NOW - timedelta(days=397))
    assert judge(old, household.root, "plot.home.arpa", tmp_path) == "certificate has expired"


def test_it_signs_nothing_outside_its_bounds_or_longer_than_browsers_take(household: Authority) -> None:
    with pytest.raises(CertificateFault, match=r"bank\.example"):
        issue(household, ("bank.example",), (), NOW)
    with pytest.raises(CertificateFault, match="1 to 397 days"):
        issue(household, NAMES, (), NOW, 398)
    with pytest.raises(CertificateFault, match="needs a name"):
        issue(household, (), (), NOW)


@pytest.mark.parametrize(
    "text", ["", "*.home.arpa", "plot..arpa", "a b", "-x.arpa", "x" * 64, "plot/arpa", "192.168.1.4", "a\nb"]
)
def test_what_is_no_name_is_refused(text: str) -> None:
    with pytest.raises(CertificateFault):
        name_of(text)


def test_names_are_brought_into_one_form() -> None:
    assert name_of(" Plot.Home.Arpa. ") == "plot.home.arpa"
    assert name_of("Gärten.home.arpa") == "xn--grten-gra.home.arpa"


@pytest.mark.parametrize("text", ["8.8.8.8", "2001:db8::1", "172.32.0.1", "169.254.1.1", "home", "0.0.0.0"])
def test_addresses_of_the_open_internet_are_refused(text: str) -> None:
    with pytest.raises(CertificateFault):
        address_of(text)


@pytest.mark.parametrize(
    "text", ["0.0.0.0/0", "192.0.0.0/8", "172.16.0.0/11", "::/0", "192.168.1.5/24", "all"]
)
def test_ranges_that_reach_beyond_private_ones_are_refused(text: str) -> None:
    with pytest.raises(CertificateFault):
        network_of(text)
