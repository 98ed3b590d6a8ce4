// Pulling: pages of newest states behind a cursor. A page and its cursor are stored in one transaction. Fetched with the
// pairing or by the first sync: nobody waits for it who counts boards.

import { metaIn, type Paired, putStanding, type SyncStanding, standingIn } from '../storage/meta_rows';
import type { Tx } from '../storage/port';
import { opsByRecord } from '../storage/reading';
import type { Row } from '../storage/rows';
import { landedIn, type Note } from './landing';
import { install, rowOf, type ServerCopy } from './merge';
import { type Got, Pages } from './pages';
import { newHistory } from './push';
import { NotHome, Refused } from './server';
import type { Page } from './wire';
import type { Wires } from './wires';

/** So many rows are handed to the database without a pause. */
const BREATH = 250;

const PAGE_SIZE = 500;
/** Store a page with its cursor. */
export type KeepPage = (wires: Wires, page: Page, from: PullFrom) => Promise<void>;
/** Where a page was asked from; `landed` are the notes that this pull, having begun after them, makes needless. */
export type PullFrom = SyncStanding & { landed?: string[] };

/** Pull until there is no more. Answers the number of records that came. */
export async function pullAll(
  wires: Wires,
  paired: Paired,
  limit = PAGE_SIZE,
  keep: KeepPage = keepPage,
): Promise<number> {
  let records = 0;
  let pages: Pages | undefined;
  const landed = await wires.store.read(['meta'], landedIn);
  for (;;) {
    let standing = await wires.store.read(['meta'], standingIn);
    // Another tab was here meanwhile, or this is the beginning.
    if (!pages || pages.at.cursor !== standing.cursor || pages.at.epoch !== standing.epoch)
      pages = new Pages((from) => askPage(wires, paired, from, limit), standing);
    const got = await withDetours(wires, pages.next());
    if (got === 'again') {
      pages = undefined;
      continue;
    }
    if (got === 'nothing new') return records;
    const { page, etag } = got;
    if (page.epoch !== standing.epoch) {
      await (await newHistory()).enterEpoch(wires, page.epoch);
      if (standing.epoch !== '') {
        pages = undefined; // they may have come to their end
        continue;
      }
      standing = { ...standing, epoch: page.epoch };
    }
    const idle = page.cursor === standing.cursor && page.records.length === 0;
    await keep(wires, page, { ...standing, landed, ...(idle && etag !== undefined ? { etag } : {}) });
    records += page.records.length;
    if (!page.more) return records;
  }
}

async function askPage(wires: Wires, paired: Paired, from: SyncStanding, limit: number): Promise<Got> {
  const query = new URLSearchParams({ plot: paired.plot_id, limit: String(limit) });
  if (from.cursor) query.set('cursor', from.cursor);
  // A first pull is spared old deletions; after a restore this phone may still show what they deleted.
  else if (from.full === 'restored') query.set('deletions', 'true');
  const { status, etag, body } = await wires.server.ask<Page>(`/api/v1/sync/pull?${query}`, {
    etag: from.etag,
  });
  if (status === 304) return 'nothing new';
  if (!isPage(body)) throw new NotHome('not a page');
  return { page: body, etag };
}

function isPage(body: Page | undefined): body is Page {
  return (
    typeof body?.epoch === 'string' &&
    typeof body.cursor === 'string' &&
    typeof body.more === 'boolean' &&
    Array.isArray(body.records)
  );
}

/** Two refusals lead to a full pull: the server was restored, or the cursor is too old for its tombstones. */
async function withDetours(wires: Wires, asked: Promise<Got>): Promise<Got | 'again'> {
  try {
    return await asked;
  } catch (error) {
    if (error instanceof Refused && (error.is('epoch') || error.status === 410)) {
      await (await newHistory()).beginAnew(wires, error);
      return 'again';
    }
    throw error;
  }
}

export const keepPage: KeepPage = async (wires, page, from) => {
  const types = new Set<string>();
  await wires.store.write(
    ['records', 'outbox', 'meta'],
    async (tx) => {
      const standing = await standingIn(tx);
      // Another tab was here meanwhile: its page counts, ours is asked for again some day.
      if (standing.cursor !== from.cursor || standing.epoch !== from.epoch) return;
      await keepRecords(wires, tx, page.records, standing, types);
      await putNext(wires, tx, page, from, standing);
    },
    { strict: false },
  );
  wires.tell(
    types,
    page.records.map((copy) => copy.id),
  );
};

async function putNext(
  wires: Wires,
  tx: Tx,
  page: Page,
  from: PullFrom,
  standing: SyncStanding,
): Promise<void> {
  const { etag: _, ...next } = { ...standing, cursor: page.cursor, schema: page.schema };
  if (from.etag && page.cursor === from.cursor) Object.assign(next, { etag: from.etag });
  if (!page.more) {
    if (next.full === 'expired') await sweep(wires, tx, next.seen);
    if (next.full && next.full !== 'first') await tx.shed(); // each row has come again
    delete next.full;
    await dropNotes(tx, from.landed ?? []);
  }
  putStanding(tx, next);
}

/** Every row that these answers waited for has come. */
async function dropNotes(tx: Tx, keys: string[]): Promise<void> {
  if (keys.length === 0) return;
  const left = ((await metaIn<Note[]>(tx, 'landed')) ?? []).filter((note) => !keys.includes(note.key));
  if (left.length > 0) tx.put('meta', { key: 'landed', value: left });
  else tx.drop('meta', 'landed');
}

/** Install the copies. On a first pull nothing is known but what is being edited: no need to read the rest. */
export async function keepRecords(
  wires: Wires,
  tx: Tx,
  copies: ServerCopy[],
  standing: SyncStanding,
  types: Set<string>,
): Promise<void> {
  const queued = opsByRecord(await tx.all('outbox'));
  const blank = standing.full === 'first';
  const known = copies.map((copy) => copy.id).filter((id) => !blank || queued.has(id));
  const rows = new Map((await tx.rows(known)).map((row) => [row?.id, row]));
  const fresh: Row[] = [];
  for (const [i, copy] of copies.entries()) {
    if (i > 0 && i % BREATH === 0) {
      await tx.lay(fresh.splice(0));
      // Asked for nothing but to let a tap be drawn; the database has its hands full with the rows so far meanwhile.
      await standingIn(tx);
    }
    const ops = queued.get(copy.id);
    const row = rows.get(copy.id);
    const next = row || ops ? install(row, copy, ops ?? [], standing, wires.rules) : rowOf(copy, standing);
    if (next.type) types.add(next.type);
    if (blank && !row && !ops) fresh.push(next);
    else tx.put('records', next);
  }
  await tx.lay(fresh);
}

/** After a whole pull of the same history: what it did not bring is gone there. Never what is edited here. */
async function sweep(wires: Wires, tx: Tx, seen: number): Promise<void> {
  const queued = new Set((await tx.all('outbox')).map((op) => op.id));
  const gone = (await tx.all('records')).filter((row) => row.seen < seen && !queued.has(row.id));
  for (const row of gone) tx.drop('records', row.id);
  if (gone.length > 0) wires.tell(['*'], []);
}
