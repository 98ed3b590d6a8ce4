// The same small syncs with the peer: two databases in one page and the remote one they replicate with.
window.peerScenes = (() => {
  const at = {};
  const BATCH = 1000; // the peer's best of 100, 500, 1000
  const ids = (from, n) => window.benchDocs(from + n).slice(from).map((doc) => doc._id);
  const docs = async (db, from, n) =>
    (await db.allDocs({ keys: ids(from, n), include_docs: true })).rows.map((row) => row.doc);
  const state = async (db) => {
    const { rows } = await db.allDocs({ include_docs: true, conflicts: true });
    const text = new TextEncoder().encode(rows.map(({ doc }) => `${doc._id}:${doc.count}\n`).join(''));
    const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', text));
    const hash = Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
    return { count: rows.length, conflicts: rows.filter(({ doc }) => doc._conflicts).length, hash };
  };
  return {
    async begin(n) {
      const name = `s${Math.random().toString(36).slice(2)}`;
      at.remote = new PouchDB(`${location.origin}/db/${name}`);
      at.a = new PouchDB(`${name}a`, { adapter: 'idb' });
      at.b = new PouchDB(`${name}b`, { adapter: 'idb' });
      await at.a.bulkDocs(window.benchDocs(n));
      await this.sync('a');
      await this.sync('b');
    },
    async sync(which) {
      const began = performance.now();
      await at[which].replicate.to(at.remote, { batch_size: BATCH });
      await at[which].replicate.from(at.remote, { batch_size: BATCH });
      return performance.now() - began;
    },
    async edit(which, from, n, count) {
      await at[which].bulkDocs((await docs(at[which], from, n)).map((doc) => ({ ...doc, count })));
    },
    async remove(which, from, n) {
      await at[which].bulkDocs((await docs(at[which], from, n)).map((doc) => ({ ...doc, _deleted: true })));
    },
    /** A first sync into an empty database: its milliseconds and what arrived. */
    async fresh() {
      const db = new PouchDB(`f${Math.random().toString(36).slice(2)}`, { adapter: 'idb' });
      const began = performance.now();
      await db.replicate.from(at.remote, { batch_size: BATCH });
      const took = performance.now() - began;
      const found = await state(db);
      await db.destroy();
      return { took, ...found };
    },
    state: (which) => state(at[which]),
  };
})();
