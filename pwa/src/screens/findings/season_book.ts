/**
 * The rounds and counts of the last half year, kept as the pictures need them. What was written since is put in by
 * itself; only when nobody noted what that was, the half year is read from the records again.
 */

import { dayIn } from '../../storage/days';
import { metaIn } from '../../storage/meta_rows';
import type { Store, Tx } from '../../storage/port';
import { opsByRecord } from '../../storage/reading';
import type { StoreName, View } from '../../storage/rows';
import { putTouched, touchedIn } from '../../storage/touched';
import { viewOf } from '../../sync/view';
import { known } from '../forms/known';
import type { CountView, RoundView } from './model';

/** Raise it when the book holds something else than before: older ones are then made anew. */
const VERSION = 2;
const KEY = 'findings/season';

export interface Season {
  rounds: RoundView[];
  counts: CountView[];
}
export interface SeasonBook extends Season {
  version: number;
  /** Of the list of what was written since (storage/touched.ts). */
  turn: number;
  zone: string;
  /** Local day; what was observed before it is not among them. */
  from: string;
}
/** Reads all of it from the records. */
export type ReadAll = (from: string) => Promise<Season>;

export function asRound(view: View): RoundView {
  return { ...known(view.body), ...beside(view) } as RoundView;
}

/** What is known of a record beside what was written in it. */
function beside({ id, conflicts, clock_suspect }: View) {
  return { id, conflicted: conflicts.length > 0, ...(clock_suspect ? { clock_suspect } : {}) };
}

const OF_A_COUNT = [
  'round_id',
  'station_id',
  'state',
  'count',
  'stands',
  'set_aside',
  'observed_at',
] as const;

/** Of a count only what the pictures ask; photos and notes would make the book ten times as thick. */
export function asCount(view: View): CountView {
  const of = known(view.body) as Record<string, unknown>;
  const asked = OF_A_COUNT.flatMap((field) => (field in of ? [[field, of[field]]] : []));
  return { ...Object.fromEntries(asked), ...beside(view) } as CountView;
}

/** The half year as it stands: kept and brought up to date, or read whole. `later`: when the disk is free again. */
export async function season(
  store: Store,
  zone: string,
  from: string,
  readAll: ReadAll,
  later: () => Promise<void> = async () => undefined,
): Promise<Season> {
  const found = await store.read(STORES, (tx) => upToDate(tx, zone, from));
  if (found) {
    if (found.behind) void written(later, store, zone, from);
    return since(found.book, from);
  }
  const turn = await store.write(['meta'], begin, RELAXED);
  const book: SeasonBook = { version: VERSION, turn, zone, from, ...(await readAll(from)) };
  await store.write(['meta'], async (tx) => tx.put('meta', { key: KEY, value: book }), RELAXED);
  return book;
}

const STORES: StoreName[] = ['records', 'outbox', 'meta'];
/** A lost book is read anew. */
const RELAXED = { strict: false };

/** Noting begins before the reading: a record that is written meanwhile is put in next time. */
async function begin(tx: Tx): Promise<number> {
  const turn = ((await touchedIn(tx))?.turn ?? 0) + 1;
  putTouched(tx, { turn, ids: [] });
  return turn;
}

/** The book with what was written since; undefined when there is none, or nobody noted what that was. */
async function upToDate(
  tx: Tx,
  zone: string,
  from: string,
): Promise<{ book: SeasonBook; behind: boolean } | undefined> {
  const [book, touched] = await Promise.all([metaIn<SeasonBook>(tx, KEY), touchedIn(tx)]);
  if (book?.version !== VERSION || book.zone !== zone || book.from > from) return undefined;
  if (!touched || touched.ids === 'many' || touched.turn !== book.turn) return undefined;
  const { ids } = touched;
  if (ids.length === 0) return { book, behind: false };
  const [rows, ops] = await Promise.all([tx.rows(ids), tx.all('outbox')]);
  const queued = opsByRecord(ops);
  const views = rows.flatMap((row) => (row ? [viewOf(row, queued.get(row.id) ?? [])] : []));
  const now = broughtUp(since(book, from), from, zone, ids, views);
  return { book: { ...book, ...now, from }, behind: true };
}

/** Write the book anew behind the screen. Should that fail, the same is put in next time. */
async function written(later: () => Promise<void>, store: Store, zone: string, from: string): Promise<void> {
  await later();
  await store.write(STORES, (tx) => keep(tx, zone, from), RELAXED).catch(() => undefined);
}

async function keep(tx: Tx, zone: string, from: string): Promise<void> {
  const found = await upToDate(tx, zone, from);
  if (!found?.behind) return;
  tx.put('meta', { key: KEY, value: found.book });
  putTouched(tx, { turn: found.book.turn, ids: [] });
}

/** Take out what was written and put it in as it is now; `views` lacks what is gone for good. Pure. */
export function broughtUp(
  { rounds, counts }: Season,
  from: string,
  zone: string,
  ids: readonly string[],
  views: readonly View[],
): Season {
  const written = new Set(ids);
  const isLeft = ({ id }: { id: string }): boolean => !written.has(id);
  const now = views.filter(({ deleted, body }) => !deleted && dayIn(body.observed_at, zone) >= from);
  return {
    rounds: [...rounds.filter(isLeft), ...now.filter(({ type }) => type === 'round').map(asRound)],
    counts: [...counts.filter(isLeft), ...now.filter(({ type }) => type === 'slug_count').map(asCount)],
  };
}

/** The part of it from a later day on. */
function since<S extends Season>(of: S & { from?: string; zone?: string }, from: string): S {
  if (of.from === from) return of;
  const isIn = ({ observed_at }: { observed_at?: string }): boolean => dayIn(observed_at, of.zone) >= from;
  return { ...of, rounds: of.rounds.filter(isIn), counts: of.counts.filter(isIn) };
}
