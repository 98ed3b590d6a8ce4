"""`underboard certificate`: https for phones on the home network, renewed by the same command."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from underboard.cli.opening import add_command, answer, settings_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from underboard.certificates.bounds import Address, Network
    from underboard.certificates.keeping import Keeper, Shown
    from underboard.config import Settings


def add(commands: Any) -> None:
    doc = "Make or renew the certificate by which phones reach this server over https."
    parser = add_command(commands, "certificate", doc, run)
    parser.add_argument(
        "--name", action="append", default=[], metavar="NAME", help="a name of this machine; repeat it"
    )
    parser.add_argument(
        "--address", action="append", default=[], metavar="IP", help="a private address of it"
    )
    parser.add_argument(
        "--network",
        action="append",
        default=[],
        metavar="RANGE",
        help="range its address may come from later",
    )
    parser.add_argument("--days", type=int, default=397, help="how long it lasts (397 at most)")
    parser.add_argument("--renew", action="store_true", help="renew even if there is time left")
    parser.add_argument(
        "--drop", action="append", default=[], metavar="NAME", help="leave a name or address out from now on"
    )
    parser.add_argument(
        "--new-authority", action="store_true", help="begin anew; every phone must install the new authority"
    )
    parser.add_argument(
        "--bring", nargs=2, type=Path, metavar=("CERT", "KEY"), help="take a certificate made elsewhere (PEM)"
    )


def run(asked: argparse.Namespace) -> int:
    from underboard.certificates.keeping import Keeper
    from underboard.data_folder import prepare_data_folder

    settings = settings_of(asked)
    prepare_data_folder(settings)
    keeper = Keeper(settings.data)
    now = datetime.now(UTC)
    before = keeper.shown()
    brought: list[Path] | None = asked.bring
    shown = keeper.bring(brought[0], brought[1], now) if brought else _own(asked, keeper, before, now)
    facts = _facts(settings, keeper, shown, now)
    return answer(
        asked, facts | {"changed": _changed(before, shown)}, _words(settings, keeper, before, shown, now)
    )


def _own(asked: argparse.Namespace, keeper: Keeper, before: Shown | None, now: datetime) -> Shown:
    """Make, widen or renew the own certificate; leave one alone that is as wanted and has time left."""
    from underboard.certificates.keeping import RENEW_BEFORE
    from underboard.core.errors import CertificateFault

    if before is not None and not before.own and not (asked.name or asked.address or asked.new_authority):
        raise CertificateFault(
            "The server shows a certificate that you brought: renew it with --bring CERT KEY."
        )
    names, addresses, networks = _wanted(asked, before if before is not None and before.own else None)
    if before is not None and before.own and asked.network and not asked.new_authority:
        raise CertificateFault(
            "What an authority is good for can't be changed later: --network needs --new-authority, and then every "
            "phone must install the new one."
        )
    same = (
        before is not None
        and before.own
        and (before.names, before.addresses) == (tuple(names), tuple(addresses))
    )
    wanted = asked.renew or asked.new_authority
    if before is not None and same and not wanted and before.ends - now >= RENEW_BEFORE:
        return before
    return keeper.make(names, addresses, networks, now, days=asked.days, new_authority=asked.new_authority)


def _wanted(
    asked: argparse.Namespace, before: Shown | None
) -> tuple[list[str], list[Address], list[Network]]:
    """Names, addresses and ranges: those asked for, those there were, and what is found if nothing was asked.

    Names there were stay, because what a phone holds belongs to the name by which it was opened.
    """
    from underboard.certificates import own_names
    from underboard.certificates.bounds import address_of, name_of, network_of

    names = [name_of(text) for text in asked.name]
    addresses = [address_of(text) for text in asked.address]
    networks = [network_of(text) for text in asked.network]
    if before is not None:
        names, addresses = [*before.names, *names], [*before.addresses, *addresses]
    elif not names and not addresses:
        names = list(own_names.found_names())
        addresses = list(own_names.found_addresses())
    elif not addresses:
        addresses = list(own_names.found_addresses())
    names = list(dict.fromkeys([*names, *own_names.HERE_NAMES]))
    addresses = list(dict.fromkeys([*addresses, *own_names.HERE_ADDRESSES]))
    dropped = {text.strip().lower() for text in asked.drop}
    names = [name for name in names if name not in dropped]
    addresses = [one for one in addresses if str(one) not in dropped]
    ranges = dict.fromkeys([*networks, *(own_names.range_around(one) for one in addresses)])
    return names, addresses, list(ranges)


def _changed(before: Shown | None, shown: Shown) -> bool:
    return before is None or before.serial != shown.serial


def _facts(settings: Settings, keeper: Keeper, shown: Shown, now: datetime) -> dict[str, Any]:
    from underboard.certificates.authority import fingerprint

    root = keeper.root()
    return {
        "own": shown.own,
        "names": list(shown.names),
        "addresses": [str(one) for one in shown.addresses],
        "ends_at": shown.ends.isoformat(),
        "days_left": (shown.ends - now).days,
        "https": [f"https://{host}:{settings.https_port}" for host in shown.hosts()],
        "authority_sha256": fingerprint(root) if root is not None else None,
    }


def _words(settings: Settings, keeper: Keeper, before: Shown | None, shown: Shown, now: datetime) -> str:
    facts = _facts(settings, keeper, shown, now)
    did = (
        "Certificate made"
        if before is None
        else "Certificate renewed"
        if _changed(before, shown)
        else "Nothing to do"
    )
    lines = [f"{did}: it is good until {shown.ends:%Y-%m-%d} ({facts['days_left']} days), for"]
    lines += [f"  {address}" for address in facts["https"]] or [
        "  this machine alone: give a name with --name."
    ]
    if shown.own:
        lines += [
            "Each phone must trust this household once: open http://ADDRESS:PORT/install-ca on it",
            f"and compare the fingerprint: {facts['authority_sha256']}",
        ]
    lines += _name_words(before, shown)
    if before is None:
        lines.append("Start the server for the whole house with `underboard serve --host 0.0.0.0`.")
    elif _changed(before, shown):
        lines.append("A server that runs takes it up within a minute.")
    return "\n".join(lines)


def _name_words(before: Shown | None, shown: Shown) -> Sequence[str]:
    """A phone's records belong to the name in its address line; say so whenever the names change."""
    if before is None:
        return ()
    added = [host for host in shown.hosts() if host not in before.hosts()]
    gone = [host for host in before.hosts() if host not in shown.hosts()]
    words = []
    if added:
        words.append(
            f"New: {', '.join(added)}. A phone keeps its records under the address it was opened by. Before it moves "
            "to a new one, open the old one, let Sync come to 0, then pair it again under the new one."
        )
    if gone:
        words.append(
            f"Left out: {', '.join(gone)}. Phones that still open these can't sync what is only on them; "
            f"take them in again with --name or --address until all have moved."
        )
    return words
