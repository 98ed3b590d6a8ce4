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

PEER_BOTH_WAYS = """async ({n, batch}) => {
  const name = 'p' + Math.random().toString(36).slice(2);
  const remote = new PouchDB(location.origin + '/db/' + name);
  const here = new PouchDB(name, {adapter: 'idb'});
  const docs = window.benchDocs(n);
  await here.bulkDocs(docs);
  await remote.info();
  let began = performance.now();
  await here.replicate.to(remote, {batch_size: batch});
  const push = n / (performance.now() - began) * 1000;
  if ((await remote.info()).doc_count !== n) throw new Error('the peer lost documents while pushing');
  const other = new PouchDB(name + 'b', {adapter: 'idb'});
  began = performance.now();
  await other.replicate.from(remote, {batch_size: batch});
  const pull = n / (performance.now() - began) * 1000;
  if ((await other.info()).doc_count !== n) throw new Error('the peer lost documents while pulling');
  await here.destroy(); await other.destroy(); await remote.destroy();
  return {push, pull};
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
def peer_server() -> Iterator[str]:
    """The peer's server with its store in memory; yields the address of its page."""
    if not (PEER / "node_modules").is_dir():
        subprocess.run(["npm", "ci", "--silent"], cwd=PEER, check=True)
    port = free_port()
    command = ["node", "server.cjs", str(port), "memory"]
    with subprocess.Popen(command, cwd=PEER, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline().strip() == "ready"
        try:
            yield f"http://127.0.0.1:{port}/bench.html"
        finally:
            process.terminate()
