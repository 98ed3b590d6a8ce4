// Photos that other phones took: their small pictures come by themselves after a sync, so that they can be
// looked through with no network; an original comes when it is asked for.
// Fetched after the first sync.

import { inSteps } from '../storage/days';
import type { Paired } from '../storage/meta_rows';
import { keepFetched, sha256Of } from '../storage/photos';
import type { Store } from '../storage/port';
import type { Row } from '../storage/rows';
import { pathOf } from './photos_up';
import { NoAnswer, NotHome, Refused } from './server';
import { backoff, type Wires } from './wires';

/** Kinds of records that name photos, read in full: there are few. Counts are many: only of the last weeks. */
const FEW = ['photo', 'note', 'trap_catch', 'damage', 'crop_event', 'treatment'] as const;
const COUNTS_DAYS = 60;
const STEP_DAYS = 6;
const AT_MOST = 60;
const TIMEOUT_MS = 30_000;

/** Looking for what is missing reads some thousand rows: not after every tap of a round that is synced at once. */
const LOOK_EVERY_MS = 20_000;
const looked = new WeakMap<Store, number>();

/** Not on the server yet (it follows from another phone), or trouble: when to ask again. */
const later = new Map<string, { tries: number; at: number }>();

/**
 * Fetch small pictures that this phone lacks, newest first; of `wanted`, or some of all that the records name.
 * Answers how many came.
 */
export async function fetchThumbs(wires: Wires, paired: Paired, wanted?: readonly string[]): Promise<number> {
  const missing = wanted ?? (await missingThumbs(wires));
  let came = 0;
  for (const sha256 of missing) {
    if ((later.get(sha256)?.at ?? 0) > wires.now()) continue;
    try {
      const bytes = await pictureAt(wires, `${pathOf(paired, sha256)}/small`);
      await wires.store.write(['thumbs'], async (tx) => tx.put('thumbs', { sha256, bytes }), {
        strict: false,
      });
      later.delete(sha256);
      came += 1;
    } catch (error) {
      if (!(error instanceof Refused) || error.status !== 404) break; // the next sync goes on from here
      const tries = (later.get(sha256)?.tries ?? 0) + 1;
      later.set(sha256, { tries, at: wires.now() + backoff(tries, wires.random) });
    }
  }
  if (came > 0) wires.tell(['photo'], []);
  return came;
}

async function missingThumbs(wires: Wires): Promise<string[]> {
  if (wires.now() - (looked.get(wires.store) ?? Number.NEGATIVE_INFINITY) < LOOK_EVERY_MS) return [];
  looked.set(wires.store, wires.now());
  const from = new Date(wires.now() - COUNTS_DAYS * 86_400_000).toISOString().slice(0, 10);
  const named = new Map<string, string>();
  const note = (rows: readonly Row[]): void => {
    for (const row of rows) for (const sha of shasOf(row)) named.set(sha, String(row.body.observed_at ?? ''));
  };
  // Each in a transaction of its own: between them a tap gets its turn. What is written meanwhile is looked for next time.
  const read = (type: string, step: { from?: string; to?: string } = {}): Promise<Row[]> =>
    wires.store.read(['records'], (tx) => tx.rowsOf(type, step.from, step.to && `${step.to}~`));
  for (const type of FEW) note(await read(type));
  await inSteps(from, COUNTS_DAYS + 2, STEP_DAYS, async (stretch) => {
    const rows = await read('slug_count', stretch);
    note(rows);
    return rows.length;
  });
  const here = new Set(await wires.store.read(['thumbs'], (tx) => tx.thumbs()));
  return [...named]
    .filter(([sha]) => !here.has(sha))
    .sort(([, a], [, b]) => Number(b > a) - Number(b < a))
    .map(([sha]) => sha)
    .slice(0, AT_MOST);
}

function shasOf(row: Row): string[] {
  if (row.deleted) return [];
  const { sha256, photos } = row.body as { sha256?: unknown; photos?: { sha256?: unknown }[] };
  return [sha256, ...(Array.isArray(photos) ? photos.map((photo) => photo?.sha256) : [])].filter(
    (sha): sha is string => typeof sha === 'string' && /^[0-9a-f]{64}$/.test(sha),
  );
}

export type Original = { bytes: ArrayBuffer; mime: string } | 'away' | 'not_there';

/** The original from the server: `away` when the server cannot be reached, `not_there` when it has none yet. */
export async function fetchOriginal(wires: Wires, paired: Paired, sha256: string): Promise<Original> {
  try {
    await wires.server.hello(paired.server_id);
    const bytes = await pictureAt(wires, pathOf(paired, sha256));
    if ((await sha256Of(bytes)) !== sha256) return 'not_there';
    await keepFetched({ sha256, bytes, mime: 'image/jpeg' }).catch(() => undefined);
    wires.tell(['photo'], []);
    return { bytes, mime: 'image/jpeg' };
  } catch (error) {
    return error instanceof Refused && error.status === 404 ? 'not_there' : 'away';
  }
}

/** Bytes of a picture; the sync's own way of asking only reads JSON. */
async function pictureAt(wires: Wires, path: string): Promise<ArrayBuffer> {
  const { server } = wires;
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), TIMEOUT_MS);
  try {
    const response = await server.fetch(server.origin + path, {
      headers: { Accept: 'image/*', 'X-App': '1' },
      redirect: 'error',
      cache: 'no-store',
      credentials: 'same-origin',
      signal: stop.signal,
    });
    const type = response.headers.get('Content-Type') ?? '';
    if (response.ok && type.startsWith('image/')) return await response.arrayBuffer();
    if (!type.startsWith('application/problem+json')) throw new NotHome(`answered ${type}`);
    const problem = { type: 'about:blank', title: '', status: response.status };
    throw new Refused(response.status, problem, undefined);
  } catch (error) {
    if (error instanceof NotHome || error instanceof Refused) throw error;
    throw new NoAnswer(String(error), stop.signal.aborted);
  } finally {
    clearTimeout(timer);
  }
}
