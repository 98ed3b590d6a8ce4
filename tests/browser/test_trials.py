"""A trial from the question to the answer: planned and begun with no signal, and one that is over read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Playwright, expect

from tests.browser.diary_hands import beds, beds_id, bodies, press, sheet, small_targets
from tests.browser.disk import draft_holds
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, new_plot, open_now, phone_of, push, start_records, sync

pytestmark = pytest.mark.browser


def now() -> datetime:
    """By the plot's clock, when it is asked: tests are collected long before they run."""
    return datetime.now(ZoneInfo("Europe/London")).replace(microsecond=0)


def day(ago: int) -> str:
    return (now() - timedelta(days=ago)).date().isoformat()


def boards(stem: str, places: list[str], first: int = 16) -> list[dict[str, Any]]:
    """One slug board in each of the places."""
    return [
        {
            "type": "station",
            "id": f"{stem}{n:02x}",
            "set": {
                "kind": "slug_board",
                "place_id": place,
                "label": f"Board {n + 10}",
                "walk_order": n + 10,
            },
        }
        for n, place in enumerate(places, start=first)
    ]


def morning(stem: str, number: int, ago: int, counts: dict[str, int]) -> list[dict[str, Any]]:
    """A valid dawn round some days ago."""
    at = (now() - timedelta(days=ago)).isoformat()
    own = f"01890000-0000-7{number:03x}-8{{:03x}}-{stem[-10:]}00"
    walk = own.format(0)
    return [
        {
            "type": "round",
            "id": walk,
            "set": {"kind": "dawn", "observed_at": at, "finished_at": at, "valid": True},
        },
        *(
            {
                "type": "slug_count",
                "id": own.format(n),
                "set": {
                    "round_id": walk,
                    "station_id": board,
                    "state": "counted" if count else "none_found",
                    "count": count,
                    "observed_at": at,
                },
            }
            for n, (board, count) in enumerate(counts.items(), start=1)
        ),
    ]


def over(stem: str, place: str) -> list[dict[str, Any]]:
    """A trial of six boards against six in one bed, with its rounds; it ended four days ago."""
    made = boards(stem, [place] * 12, first=64)
    treated, control = ([board["id"] for board in made[half : half + 6]] for half in (0, 6))
    every = [*treated, *control]
    trial = {
        "name": "Drench under twelve boards",
        "kind": "nematodes",
        "treated_ids": treated,
        "control_ids": control,
        "before_from": day(74),
        "before_to": day(46),
        "treat_on": day(46),
        "after_from": day(39),
        "after_to": day(4),
    }
    return [
        *made,
        *morning(stem, 1, 50, dict.fromkeys(every, 10)),
        *morning(stem, 2, 42, dict.fromkeys(every, 99)),  # day 4: too early to count
        *morning(stem, 3, 20, {board: 3 if board in treated else 10 for board in every}),
        {"type": "trial", "id": f"{stem}f0", "set": trial},
    ]


@pytest.fixture(scope="module")
def plot(home: ServerProcess) -> str:
    """Four beds with two boards each, and a trial that is over in another."""
    plot_id = new_plot(home)
    ids = beds(home, plot_id, 4)
    place = start_records(plot_id)[1]["id"]
    records = boards(place[:-2], [bed for bed in ids.values() for _ in (1, 2)])
    push(home, bearer(home, plot_id), plot_id, [*records, *over(place[:-2], place)])
    return plot_id


@pytest.fixture(scope="module")
def phone(
    home: ServerProcess, plot: str, playwright: Playwright, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Phone]:
    """One phone for both tests: joining is most of the work."""

    def make(url: str, name: str) -> Phone:
        return Phone(playwright, tmp_path_factory.mktemp(name), url)

    joined = phone_of(make, home, plot, "Bo")
    sync(joined)
    yield joined
    joined.close()


def test_a_trial_is_planned_drawn_and_begun_with_no_signal(
    home: ServerProcess, plot: str, phone: Phone
) -> None:
    ids = {f"Bed {n}": beds_id(plot, n) for n in range(3, 7)}
    phone.offline()
    page = phone.go("/trials")
    page.get_by_role("link", name="Plan a trial").click(timeout=LONG)
    page.get_by_label("Its name").fill("Nematodes in the new beds", timeout=LONG)
    for bed in ids:
        page.get_by_role("checkbox", name=bed, exact=True).check()
    page.get_by_label("Day of the treatment").fill(day(0))
    page.get_by_label("Seed of the draw").fill("42")
    for _ in range(2):
        page.get_by_role("button", name="One more: Dawn rounds a week").click()
    main = page.get_by_role("main")
    # mean 2, k 0.8, 4 boards a side, 5 weeks of 3 rounds, half as many: scipy 1.17.1, norm.cdf.
    expect(main).to_contain_text("If it leaves 50 % fewer, this trial shows it with a chance of 14 to 77 %")
    expect(main).to_contain_text("Only 4 boards on one side")
    assert small_targets(main) == []
    treated = page.get_by_role("region", name="Treated", exact=True).get_by_role("listitem")
    drawn = treated.all_inner_texts()
    page.get_by_role("button", name="Another seed").click()
    page.get_by_label("Seed of the draw").fill("42")
    assert treated.all_inner_texts() == drawn  # the same seed, the same draw
    draft_holds(page, "trial_plan", "Nematodes in the new beds", '"seed":"42"', day(0), *ids.values())
    page.reload()  # the phone was locked over it
    expect(page.get_by_label("Seed of the draw")).to_have_value("42", timeout=LONG)
    page.get_by_role("button", name="Begin this trial").click()

    expect(page.get_by_role("heading", name="Nematodes in the new beds")).to_be_visible(timeout=LONG)
    expect(page.get_by_role("heading", name="Today is the day of the treatment.")).to_be_visible()
    expect(main).to_contain_text("inside blocks of like ones, seed 42")
    assert treated.all_inner_texts() == drawn
    page.get_by_role("button", name="Write the treatment down").click()
    form = sheet(page, "New treatment")
    for label in drawn:
        bed = re.sub(r"\s*block.*", "", label, flags=re.DOTALL).strip()
        expect(form.get_by_role("checkbox", name=bed, exact=True).first).to_be_checked(timeout=LONG)
    press(form, "Save treatment")
    expect(page.get_by_role("heading", name=re.compile("^Day 0 after the treatment"))).to_be_visible(
        timeout=LONG
    )
    phone.offline(False)
    sync(phone)
    (trial,) = [one for one in bodies(home, plot, "trial") if "seed" in one]
    assert (trial["kind"], trial["seed"], trial["allocation"], trial["percent_fewer"]) == (
        "nematodes",
        42,
        "blocked",
        50,
    )
    assert len(trial["treated_ids"]) == len(trial["control_ids"]) == 2
    assert set(trial["blocks"]) == {*trial["treated_ids"], *trial["control_ids"]} == set(ids.values())
    assert (trial["before_from"], trial["before_to"]) == (day(28), day(0))
    assert (trial["after_from"], trial["after_to"]) == (day(-7), day(-42))
    (treatment,) = [one for one in home.records(plot, bearer(home, plot)) if one["type"] == "treatment"]
    assert trial["treatment_ids"] == [treatment["id"]]
    assert set(treatment["body"]["place_ids"]) == set(trial["treated_ids"])
    assert set(treatment["body"]["control_place_ids"]) == set(trial["control_ids"])
    assert phone.errors == []


def test_a_trial_that_is_over_says_what_it_showed(phone: Phone) -> None:
    due = phone.page.get_by_role("region", name="Trial: Drench under twelve boards")
    open_now(phone, due)
    expect(due).to_contain_text("It is over: read what it says.", timeout=LONG)
    page = phone.go("/findings")
    page.get_by_role("link", name="To the trials").click(timeout=LONG)
    # 70 % fewer; t(0.975, 10) = 2.2281 and se = sqrt(1/18 + 3/60) = 0.3249 (scipy 1.17.1, stats.t).
    said = "Boards with the nematodes had 38 to 85 % fewer slugs than they would have had without (95 % interval)."
    expect(page.get_by_role("main")).to_contain_text(said, timeout=LONG)
    page.get_by_role("region", name="Drench under twelve boards").get_by_role("link", name="Open").click()
    main = page.get_by_role("main")
    expect(main).to_contain_text(said, timeout=LONG)
    expect(main).to_contain_text("It worked, as far as these boards can tell.")
    expect(main).to_contain_text("6 boards treated against 6. Best single figure: 70 % fewer.")
    expect(main).to_contain_text("A person chose who is treated.")
    page.get_by_text("Every round (2)").click()
    rows = main.get_by_role("row")
    expect(rows).to_have_count(3)
    expect(rows.nth(1)).to_contain_text("10.0 (6)10.0 (6)")
    expect(rows.nth(2)).to_contain_text("3.0 (6)10.0 (6)")
    assert small_targets(main) == []
    assert phone.errors == []
