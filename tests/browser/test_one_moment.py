"""Records that all have one time: a phone's pull gets each of them, and asks for no more pages than there are."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Response

from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import bearer, phone_of, push, start_records, sync

pytestmark = pytest.mark.browser
MANY = 1_200
NOTES = """new Promise((done, fail) => {
  const opening = indexedDB.open('underboard');
  opening.onerror = () => fail(opening.error);
  opening.onsuccess = () => {
    const all = opening.result.transaction('records').objectStore('records').getAll();
    all.onsuccess = () => {
      opening.result.close();
      done(all.result.filter((row) => row.type === 'note').map((row) => row.body.text));
    };
  };
})"""


def write_notes(home: ServerProcess, plot: str) -> list[str]:
    at = start_records(plot)[-1]["set"]["observed_at"]
    stem = f"01890000-0000-7000-8001-{plot[-12:-4]}"
    notes = [
        {"type": "note", "id": f"{stem}{n:04d}", "set": {"text": f"note {n}", "observed_at": at}}
        for n in range(MANY)
    ]
    for first in range(0, MANY, 400):
        push(home, bearer(home, plot), plot, notes[first : first + 400])
    return [f"note {n}" for n in range(MANY)]


def test_twelve_hundred_notes_of_one_moment_arrive_once_each(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    answers: list[Response] = []
    phone.context.on(
        "response", lambda answer: answers.append(answer) if "/sync/pull" in answer.url else None
    )
    texts = write_notes(home, plot)
    sync(phone)
    until(phone.page, f"{NOTES}.then((found) => found.length >= {MANY})")
    assert sorted(phone.page.evaluate(NOTES)) == sorted(texts)
    pages = [notes_in(answer) for answer in answers]
    came = [one for page in pages for one in page]
    assert len(came) == len(set(came)) == MANY
    assert [len(page) for page in pages if page] == [500, 500, 200]
    # Nothing of it comes again.
    answers.clear()
    sync(phone)
    assert len(answers) > 0 and [one for answer in answers for one in notes_in(answer)] == []
    assert phone.errors == []


def notes_in(answer: Response) -> list[str]:
    """Ids of the notes on a page; one that holds nothing new may have no body."""
    records = answer.json()["records"] if answer.status == 200 else []
    return [one["id"] for one in records if one["type"] == "note"]
