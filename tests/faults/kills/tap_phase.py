"""The real screen: a thumb that counts slugs on a board. What is drawn as counted is on the phone's disk."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import expect

from tests.browser.small_plot import LONG, board, new_plot, phone_of, walk_path
from tests.faults.kills.bare_page import Copy, Heard, copy_of
from tests.faults.kills.phone_phases import Home, Phase, record_and_outbox_agree
from tests.faults.kills.victims import aim, kill

TAPS = """() => {
  const say = (what) => console.log(`storm ${JSON.stringify(what)}`);
  const number = () => document.querySelector('.turned-number');
  const figure = () => number()?.querySelector('.turned-figure')?.textContent ?? '';
  let last = '';
  let wanted = Number.parseInt(figure(), 10) || 0;
  const look = () => {
    const drawn = figure();
    if (drawn === last || number()?.dataset.saved !== 'counted') return;
    last = drawn;
    say({ drawn: Number(drawn) });
  };
  new MutationObserver(look).observe(document.querySelector('main'), {
    subtree: true, childList: true, characterData: true, attributes: true,
  });
  setInterval(() => {
    wanted += 1;
    say({ tapped: wanted });
    document.querySelector('.key-plus').click();
  }, 40);
}"""


class Tapping(Phase):
    """25 taps a second, while the sync runs as it likes."""

    name, begins, call = "taps", "tapped", ""
    span = 1.5

    def __init__(self, home: Home, victim: str) -> None:
        self.home, self.victim = home, victim
        self.plot = new_plot(home.server)
        self.headers = home.server.bearer(self.plot)
        self.promised, self.photos = {}, set()
        self.phone = phone_of(home.make, home.server, self.plot, "Ada", profile=f"taps-{victim}")
        self.phone.close()  # in peace: Chromium writes cookies up to half a minute late
        self.phone.open()

    def round(self, part: float) -> bool:
        heard = Heard()
        self.phone.page.on("console", heard.take)
        page = self.phone.go(walk_path(self.plot))
        expect(page.get_by_role("button", name="One more slug")).to_be_visible(timeout=LONG)
        board(page, 2)
        pids = aim(self.phone, self.victim)
        page.evaluate(TAPS)
        page.wait_for_timeout(1000 * part * self.span)
        kill(self.phone, self.victim, pids)
        page, _ = self.bare()
        copy = copy_of(page)
        self.is_right(copy, heard)
        self.converge(page)
        return self.was_at_it(copy, heard)

    def is_right(self, copy: Copy, heard: Heard) -> None:
        record_and_outbox_agree(copy)
        drawn: list[int] = heard.all("drawn")
        assert drawn == sorted(drawn)
        assert not drawn or self.counted(copy) >= drawn[-1], f"{drawn[-1]} was drawn"

    def counted(self, copy: Copy) -> int:
        """What Board 2 has by this phone."""
        station = re.sub(r".*/(.*)b0$", r"\1c2", walk_path(self.plot))
        bodies: dict[str, dict[str, Any]] = {row["id"]: dict(row["body"]) for row in copy["rows"]["records"]}
        for op in sorted(copy["rows"]["outbox"], key=lambda one: int(one["n"])):
            bodies[op["id"]].update(op["set"])
        counts = [
            body["count"] for body in bodies.values() if body.get("station_id") == station and "count" in body
        ]
        assert len(counts) <= 1, "one board, one person, one count"
        return int(counts[0]) if counts else 0

    def was_at_it(self, copy: Copy, heard: Heard) -> bool:
        """Was the last tap not yet drawn as saved?"""
        return max(heard.all("tapped"), default=0) > max(heard.all("drawn"), default=0)
