"""What lies on a phone's disk, asked from outside: for what the screen has no word for, half-filled forms above all.

A form keeps itself at every change, and nothing is said of it; whoever reloads the page without looking here may be
quicker than a slow disk.
"""

from __future__ import annotations

from playwright.sync_api import Page

from tests.browser.phone import until
from tests.browser.small_plot import LONG

# The app makes its database; what is asked for before that does not exist, and is not made from here.
ROWS = """(store) => new Promise((done, fail) => {
  const asked = indexedDB.open('underboard');
  asked.onupgradeneeded = () => asked.transaction.abort();
  asked.onerror = () => fail(asked.error);
  asked.onsuccess = () => {
    const db = asked.result;
    try {
      const rows = db.transaction(store).objectStore(store).getAll();
      rows.onsuccess = () => done(rows.result);
      rows.onerror = () => fail(rows.error);
    } catch (error) {
      fail(error);
    } finally {
      db.close();
    }
  };
})"""
DRAFT = f"""async ([key, words]) => (await ({ROWS})('drafts')).some((row) =>
  row.key.startsWith(key) && words.every((word) => JSON.stringify(row.value).includes(word)))"""
HELD = f"""async (wanted) => {{
  const packed = (await ({ROWS})('packs')).flatMap((pack) => pack.rows);
  return new Set([...packed, ...(await ({ROWS})('records'))].map((row) => row.id)).size >= wanted;
}}"""


def draft_holds(page: Page, key: str, *words: str) -> None:
    """Wait until the form whose key begins so is on the disk, with all these words in it as JSON has them."""
    until(page, DRAFT, [key, list(words)], timeout=LONG)


def holds_records(page: Page, wanted: int) -> None:
    """Wait until the phone has so many records."""
    until(page, HELD, wanted, timeout=2 * LONG)
