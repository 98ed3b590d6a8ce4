// The whole of a phone's database as JSON, and back: for looking at what a kill has left, and for keeping the
// store of a release. Knows nothing of what is in it, so that it works on the database of any release.

const NAME = 'underboard';

export type StoreShape = {
  key_path: string | string[];
  auto_increment: boolean;
  indexes: Record<string, string | string[]>;
};
export type Copy = { version: number; shapes: Record<string, StoreShape>; rows: Record<string, unknown[]> };

/** Undefined when there is no database. Opens it in the version it has, so that nothing is upgraded. */
export async function copyStore(how: 'hashes' | 'bytes' = 'hashes'): Promise<Copy | undefined> {
  const known = (await indexedDB.databases()).find(({ name }) => name === NAME);
  if (!known) return undefined;
  const db = await promised(indexedDB.open(NAME));
  try {
    const names = [...db.objectStoreNames];
    const copy: Copy = { version: db.version, shapes: {}, rows: {} };
    const tx = db.transaction(names, 'readonly');
    const all = names.map(async (name) => {
      const store = tx.objectStore(name);
      copy.shapes[name] = shapeOf(store);
      copy.rows[name] = await promised(store.getAll());
    });
    await Promise.all(all);
    for (const name of names) copy.rows[name] = (await plain(copy.rows[name], how)) as unknown[];
    return copy;
  } finally {
    db.close();
  }
}

function shapeOf(store: IDBObjectStore): StoreShape {
  const indexes = Object.fromEntries(
    [...store.indexNames].map((name) => [name, store.index(name).keyPath] as const),
  );
  return { key_path: store.keyPath ?? '', auto_increment: store.autoIncrement, indexes };
}

export async function dropStore(): Promise<void> {
  await promised(indexedDB.deleteDatabase(NAME));
}

/** Make the database of a copy anew, in the version that it had. */
export async function buildStore(copy: Copy): Promise<void> {
  await dropStore();
  const opening = indexedDB.open(NAME, copy.version);
  opening.onupgradeneeded = () => {
    for (const [name, shape] of Object.entries(copy.shapes)) {
      const store = opening.result.createObjectStore(name, {
        keyPath: shape.key_path,
        autoIncrement: shape.auto_increment,
      });
      for (const [index, path] of Object.entries(shape.indexes)) store.createIndex(index, path);
    }
  };
  const db = await promised(opening);
  const names = Object.keys(copy.rows);
  const tx = db.transaction(names, 'readwrite');
  for (const name of names) {
    for (const row of copy.rows[name] ?? []) tx.objectStore(name).put(unpacked(row));
  }
  await new Promise<void>((done, failed) => {
    tx.oncomplete = () => done();
    tx.onabort = () => failed(tx.error);
  });
  db.close();
}

function promised<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

/** Bytes as {sha256, bytes: length}, or as {base64}. */
async function plain(value: unknown, how: 'hashes' | 'bytes'): Promise<unknown> {
  if (value instanceof ArrayBuffer) {
    return how === 'bytes' ? { base64: base64Of(value) } : { sha256: await hashOf(value), bytes: value.byteLength };
  }
  if (Array.isArray(value)) return await Promise.all(value.map((one) => plain(one, how)));
  if (typeof value !== 'object' || value === null) return value;
  const members = Object.entries(value).map(async ([key, one]) => [key, await plain(one, how)] as const);
  return Object.fromEntries(await Promise.all(members));
}

function unpacked(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(unpacked);
  if (typeof value !== 'object' || value === null) return value;
  if ('base64' in value && typeof value.base64 === 'string') {
    return Uint8Array.from(atob(value.base64), (char) => char.charCodeAt(0)).buffer;
  }
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, unpacked(one)]));
}

function base64Of(bytes: ArrayBuffer): string {
  return btoa(Array.from(new Uint8Array(bytes), (byte) => String.fromCharCode(byte)).join(''));
}

async function hashOf(bytes: ArrayBuffer): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
