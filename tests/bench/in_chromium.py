"""Measurements that run inside Chromium: raw IndexedDB, the peer, and a page to run them in."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Page, Playwright

from tests.browser.phone import CHROMIUM, QUIET
from tests.browser.server import free_port

PEER = Path(__file__).parent / "peer"

RAW_PUTS = """async (n) => {
  const open = indexedDB.open('raw', 1);
  open.onupgradeneeded = () => open.result.createObjectStore('r', {keyPath: 'id'});
  const db = await new Promise((done, no) => {
    open.onsuccess = () => done(open.result); open.onerror = no;
  });
  const docs = window.benchDocs(n);
  const began = performance.now();
  for (let from = 0; from < n; from += 500) {
    const tx = db.transaction('r', 'readwrite', {durability: 'strict'});
    for (const doc of docs.slice(from, from + 500)) tx.objectStore('r').put(doc);
    await new Promise((done, no) => { tx.oncomplete = done; tx.onabort = no; });
  }
  const took = performance.now() - began;
  const count = await new Promise((done) => {
    const q = db.transaction('r').objectStore('r').count(); q.onsuccess = () => done(q.result);
  });
  db.close();
  await new Promise((done) => { indexedDB.deleteDatabase('raw').onsuccess = done; });
  if (count !== n) throw new Error(`stored ${count} of ${n}`);
  return n / took * 1000;
}"""

# Ten thousand slug counts of about 200 bytes, the same for everybody.
DOCS = """window.benchDocs = (n) => Array.from({length: n}, (_, i) => ({
  _id: 'r' + String(i).padStart(7, '0'), id: 'r' + String(i).padStart(7, '0'), type: 'slug_count',
  round_id: '0192f3a0-0000-7000-8000-000000000001',
  station_id: '0192f3a0-0000-7000-8000-0000000000' + (10 + i % 26),
  state: 'counted', count: i % 17, observed_at: '2026-05-03T05:20:00+01:00', observer: 'Maren',
}))"""

# The local database of the peer, filled anew; and what the hash of its documents has to be at the other end.
PEER_FILL = """async (n) => {
  await window.peerHere?.destroy();
  const hashed = async (docs) => {
    const text = new TextEncoder().encode(docs.map((doc) => `${doc._id}:${doc.count}\\n`).join(''));
    return String(new Uint8Array(await crypto.subtle.digest('SHA-256', text)));
  };
  window.peerHashed = async (db) =>
    hashed((await db.allDocs({include_docs: true})).rows.map((row) => row.doc));
  window.peerHere = new PouchDB('here' + n, {adapter: 'idb'});
  await window.peerHere.bulkDocs(window.benchDocs(n));
  window.peerHash = await hashed(window.benchDocs(n));
}"""

PEER_BOTH_WAYS = """async ({n, push, pull}) => {
  const name = 'p' + Math.random().toString(36).slice(2);
  const remote = new PouchDB(location.origin + '/db/' + name);
  await remote.info();
  let began = performance.now();
  await window.peerHere.replicate.to(remote, {batch_size: push});
  const pushed = n / (performance.now() - began) * 1000;
  if ((await remote.info()).doc_count !== n) throw new Error('the peer lost documents while pushing');
  const other = new PouchDB(name + 'b', {adapter: 'idb'});
  began = performance.now();
  await other.replicate.from(remote, {batch_size: pull});
  const pulled = n / (performance.now() - began) * 1000;
  if (await window.peerHashed(other) !== window.peerHash) throw new Error('the peer pulled other documents');
  await other.destroy(); await remote.destroy();
  return {push: pushed, pull: pulled};
}"""


@contextmanager
def page_at(playwright: Playwright, url: str) -> Iterator[Page]:
    """A page on a fresh profile on disk (an incognito window would keep its stores in memory)."""
    with TemporaryDirectory() as profile:
        context = playwright.chromium.launch_persistent_context(profile, executable_path=CHROMIUM, args=QUIET)
        page = context.pages[0]
        page.set_default_timeout(300_000)
        page.add_init_script(DOCS)
        page.goto(url)
        yield page
        context.close()


@contextmanager
def peer_server(adapter: str = "memory") -> Iterator[str]:
    """The peer's server with its store in memory or in LevelDB; yields the address of its page."""
    if not (PEER / "node_modules").is_dir():
        subprocess.run(["npm", "ci", "--silent"], cwd=PEER, check=True)
    port = free_port()
    with TemporaryDirectory() as folder:
        command = ["node", "server.cjs", str(port), adapter, f"{folder}/"]
        with subprocess.Popen(command, cwd=PEER, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout is not None
            assert process.stdout.readline().strip() == "ready"
            try:
                yield f"http://127.0.0.1:{port}/bench.html"
            finally:
                process.terminate()
