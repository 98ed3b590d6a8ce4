"""Text that attacks whoever shows it: kept as it was written, and never more than text in calendar, mail and pages.

The screens are gone through in a browser by tests/browser/test_hostile_words.py.
"""

from __future__ import annotations

import json
import uuid
from datetime import timedelta
from html.parser import HTMLParser
from typing import Any

import pytest
from icalendar import Calendar

from tests.attacks.hostile import WORDS, hostile_records
from tests.attacks.household import Household, envelope, put
from underboard.core.records import RECORD_TYPES
from underboard.store.database import writing
from underboard.store.server_records import Write, lock_plot, write_records
from underboard.web.services import utc_now


@pytest.fixture(scope="module")
def wordy(house: Household) -> list[dict[str, Any]]:
    records = hostile_records(house.plot_id)
    ops = [put(one["type"], one["set"], one["id"]) for one in records]
    answer = house.ask("owner", "POST", "/api/v1/sync/push", json=envelope(house, *ops)).get_json()
    assert [(r["status"], r.get("problem")) for r in answer["results"]] == [("applied", None)] * len(ops)
    return records


def test_every_text_of_every_type_is_attacked(wordy: list[dict[str, Any]]) -> None:
    said = json.dumps(wordy, ensure_ascii=False)
    assert {one["type"] for one in wordy} == {
        n for n, kind in RECORD_TYPES.items() if not kind.server_written
    }
    assert [word for word in WORDS if json.dumps(word, ensure_ascii=False)[1:-1] not in said] == []


def test_it_comes_back_letter_by_letter_as_json(house: Household, wordy: list[dict[str, Any]]) -> None:
    answer = house.ask("owner", "GET", f"/api/v1/sync/pull?plot={house.plot_id}&limit=500")
    assert answer.headers["Content-Type"] == "application/json"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    bodies = {record["id"]: record["body"] for record in answer.get_json()["records"]}
    for one in wordy:
        kept = bodies[one["id"]]
        texts = {name: value for name, value in one["set"].items() if isinstance(value, str)}
        assert {name: kept[name] for name in texts if name in kept} == texts


class Elements(HTMLParser):
    """Every element and every event attribute of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.odd: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.add(tag)
        self.odd += [
            f"{tag} {name}={value}"
            for name, value in attrs
            if name.startswith("on") or (value or "").lower().startswith("javascript:")
        ]


@pytest.mark.parametrize("word", WORDS)
def test_no_answer_hands_a_word_back_as_html(house: Household, word: str) -> None:
    """Whatever is asked for, the only HTML there is comes from templates and the built client."""
    wish = {"code": word, "device_name": word, "want": "token"}
    for answer in (
        house.ask("nobody", "GET", f"/{word}"),
        house.ask("nobody", "GET", f"/stop/{word}"),
        house.ask("nobody", "GET", f"/calendar/{word}.ics"),
        house.ask("nobody", "GET", "/install-ca", headers={"Host": "plot.example", "User-Agent": word}),
        house.ask("owner", "GET", f"/api/v1/plots/{word}/findings/slugs"),
        house.ask("owner", "GET", f"/api/v1/plots/{house.plot_id}/findings/warnings?rule={word}"),
        house.ask("nobody", "POST", "/api/v1/pair", json=wish),
        house.ask("owner", "POST", "/api/v1/channels/email", json={"address": f"{word}@example.org"}),
    ):
        if answer.mimetype == "text/html":
            page = Elements(answer.text)
            assert (
                page.odd == [] and not {"img", "iframe", "a" if word in answer.text else "img"} & page.names
            )
        else:
            assert answer.mimetype in ("application/problem+json", "text/css"), answer.mimetype
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]


def test_a_warning_with_such_words_is_one_event_in_the_calendar(
    house: Household, wordy: list[dict[str, Any]]
) -> None:
    now = utc_now().replace(microsecond=0)
    body = {
        "rule": "frost", "key": "2026-05-13", "raised_at": now.isoformat(), "updated_at": now.isoformat(),
        "window_start": now.isoformat(), "window_end": (now + timedelta(hours=9)).isoformat(),
        "severity": "Severe", "urgency": "Expected", "certainty": "Likely",
        "headline": WORDS[0] + "\r\nEND:VEVENT", "why": WORDS[2], "advice": WORDS[6], "caution": WORDS[10],
        "loud": True,
    }  # fmt: skip
    write = Write(str(uuid.uuid4()), "warning", str(uuid.uuid4()), body)
    with house.app.app_context(), writing() as connection:
        lock_plot(connection, house.plot_id)
        write_records(connection, house.plot_id, [write], now)
    made = house.ask("owner", "POST", "/api/v1/channels/calendar").get_json()["url"]
    answer = house.ask("nobody", "GET", "/" + made.split("/", 3)[3])
    assert answer.mimetype == "text/calendar"
    lines = answer.data.split(b"\r\n")
    assert lines.count(b"BEGIN:VEVENT") == lines.count(b"END:VEVENT") and lines.count(b"END:VCALENDAR") == 1
    events = Calendar.from_ical(answer.data).walk("VEVENT")
    warned = [event for event in events if WORDS[0] in str(event["SUMMARY"])]
    assert len(warned) == 1 and WORDS[2] in str(warned[0]["DESCRIPTION"])
