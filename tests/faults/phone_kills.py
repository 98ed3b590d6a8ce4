"""Kill -9 phones and the server at random moments: what was promised is there, and afterwards all have the same.

tests/faults/kill_phones --rounds 200 [--seed 1] [--phase save|push|pull|join|upgrade|photo|taps|server|job]...

A phone dies as a whole (browser) or loses the process that draws its page (renderer); the server dies with all it
started, on SQLite and on PostgreSQL, beside phones that send or in a pass of its job. `--phase NAME:VICTIM` is for one
of them alone. Moments are parts of the time that the work takes, drawn from the seed. A kill
of a process cannot show what a loss of power does: the system writes on. For that, every write is strict.
"""

from __future__ import annotations

import argparse
import random
import shutil
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from playwright.sync_api import sync_playwright

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.faults.kills.bare_page import bundle
from tests.faults.kills.job_phase import Working
from tests.faults.kills.phone_phases import Home, Phase, Photographing, Pushing, Saving
from tests.faults.kills.pull_phases import Joining, Pulling
from tests.faults.kills.server_phase import Serving
from tests.faults.kills.tap_phase import Tapping
from tests.faults.kills.upgrade_phase import Upgrading
from tests.faults.kills.victims import VICTIMS
from tests.store.postgres import Cluster

PHONE: dict[str, type[Phase]] = {
    kind.name: kind for kind in (Saving, Pulling, Joining, Upgrading, Photographing, Pushing, Tapping)
}
SERVER: dict[str, type[Serving]] = {kind.name: kind for kind in (Serving, Working)}
DATABASES = ("sqlite", "postgresql")
PHASES = (*PHONE, *SERVER)


class Killed(Protocol):
    def round(self, part: float) -> bool: ...


@dataclass
class Line:
    """One line of the table."""

    name: str
    victim: str
    rounds: int = 0
    at_it: int = 0
    losses: int = 0
    words: str = ""

    def text(self) -> str:
        return f"{self.name:8} {self.victim:11} {self.rounds:6} {self.at_it:14} {self.losses:7}  {self.words}"


HEAD = f"{'phase':8} {'killed':11} {'rounds':>6} {'in the middle':>14} {'losses':>7}"


def shares(rounds: int, phases: Sequence[str]) -> dict[tuple[str, str], int]:
    """How many rounds each phase and victim gets; one after the other, so that few rounds see many phases."""
    pairs = [pair for turn in range(2) for at, phase in enumerate(phases) for pair in _pairs(phase, turn, at)]
    found = {pair: rounds // len(pairs) + (at < rounds % len(pairs)) for at, pair in enumerate(pairs)}
    return {pair: n for pair, n in found.items() if n}


def _pairs(phase: str, turn: int, at: int) -> list[tuple[str, str]]:
    name, _, only = phase.partition(":")
    victims = DATABASES if name in SERVER else VICTIMS
    if only:
        return [(name, only)] if turn == 0 else []
    return [(name, victims[(turn + at) % 2])]


def phase_of(word: str) -> str:
    """Check a phase that was asked for."""
    name, _, only = word.partition(":")
    if name not in PHASES or only not in ("", *(DATABASES if name in SERVER else VICTIMS)):
        raise argparse.ArgumentTypeError(f"no such phase; there are {', '.join(PHASES)}")
    return word


@contextmanager
def ground(phases: Sequence[str], folder: Path) -> Iterator[Home | None]:
    """The server and the browsers of the phones, if phones are to be killed."""
    if {phase.partition(":")[0] for phase in phases} <= set(SERVER):
        yield None
        return
    (folder / "data").mkdir()
    server = ServerProcess(folder / "data").without_jobs().start(seconds=120)
    phones: list[Phone] = []
    try:
        with sync_playwright() as playwright:

            def make(url: str, name: str) -> Phone:
                phones.append(Phone(playwright, folder / name, url))
                return phones[-1]

            yield Home(server, bundle(folder), make)
            for phone in phones:
                phone.close()
    finally:
        server.stop()


def run_share(line: Line, killed: Killed, parts: Sequence[float]) -> None:
    for part in parts:
        line.rounds += 1
        try:
            line.at_it += killed.round(part)
        except Exception as fault:
            line.losses += 1
            line.words = f"round {line.rounds}, part {part:.4f}: {fault!r}"[:1500]
            return  # what is left of it says nothing more


def campaign(rounds: int, seed: int, phases: Sequence[str]) -> list[Line]:
    """Run them all; a line for each phase and victim."""
    folder = Path(tempfile.mkdtemp(prefix="underboard-kills-"))
    lines: list[Line] = []
    try:
        with ground(phases, folder) as home:
            for (name, victim), n in shares(rounds, phases).items():
                chance = random.Random(f"{seed} {name} {victim}")
                parts = [chance.random() for _ in range(n)]
                line = Line(name, victim)
                lines.append(line)
                if name in SERVER:
                    _serve(line, folder, parts)
                elif home is not None:
                    phase = PHONE[name](home, victim)
                    run_share(line, phase, parts)
                    phase.phone.close()
                print(line.text(), flush=True)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    return lines


def _serve(line: Line, folder: Path, parts: Sequence[float]) -> None:
    cluster = Cluster() if line.victim == "postgresql" else None
    try:
        serving = SERVER[line.name](folder, cluster)
        try:
            run_share(line, serving, parts)
            line.words = line.words or f"{serving.in_pass} in a pass of the job"
            if not line.losses:
                serving.close()
        finally:
            serving.server.stop()
    finally:
        if cluster:
            cluster.stop()


def main() -> int:
    """The command `tests/faults/kill_phones`."""
    parser = argparse.ArgumentParser(description="Kill browsers, renderers and servers at random moments.")
    parser.add_argument("--rounds", type=int, default=60, help="over all phases")
    parser.add_argument("--seed", type=int, default=int(time.time()))
    parser.add_argument("--phase", type=phase_of, metavar="NAME[:VICTIM]", action="append")
    asked = parser.parse_args()
    began = time.monotonic()
    print(f"seed {asked.seed}\n{HEAD}", flush=True)
    lines = campaign(asked.rounds, asked.seed, asked.phase or PHASES)
    total = Line("all", "", *(sum(getattr(x, what) for x in lines) for what in ("rounds", "at_it", "losses")))
    print(f"{total.text()}{time.monotonic() - began:.0f} s, seed {asked.seed}", flush=True)
    return 1 if total.losses else 0


if __name__ == "__main__":
    raise SystemExit(main())
