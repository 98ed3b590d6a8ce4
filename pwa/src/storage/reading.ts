// Questions of one moment: one transaction for all of them, and what two of them need is read once. On a slow phone each
// transaction, and each request in it, costs as much as its answer.

import type { RecordType } from '../generated/api';
import { RULES, type Rules } from '../sync/rules';
import { viewOf } from '../sync/view';
import { dayIn, dayShift } from './days';
import { metaIn } from './meta_rows';
import type { Tx } from './port';
import type { Op, Row, View } from './rows';

/** Local days of the plot, both with their ends. */
export type DateRange = { from?: string; to?: string };

/** What a loader asks of the phone: each question by itself (`oneByOne`), or several `together`. */
export interface Ask {
  /** Not the deleted ones; oldest observation first. */
  list<T extends RecordType>(type: T, range?: DateRange): Promise<View<T>[]>;
  get<T extends RecordType>(type: T, id: string): Promise<View<T> | undefined>;
  countsOfRound(roundId: string): Promise<View<'slug_count'>[]>;
  meta<T>(key: string): Promise<T | undefined>;
  draft<T>(key: string): Promise<T | undefined>;
}

const OUTBOX = 'outbox';

/** Never await anything else than its answers while there is more to ask: the transaction would be over. */
export class Reading implements Ask {
  readonly #known = new Map<string, Promise<unknown>>();

  constructor(
    readonly tx: Tx,
    readonly rules: Rules = RULES,
  ) {}

  async list<T extends RecordType>(type: T, range: DateRange = {}): Promise<View<T>[]> {
    const { from, to } = range;
    const cut = from !== undefined || to !== undefined;
    const rows = this.#once(`${type} ${from} ${to}`, () =>
      this.tx.rowsOf(type, from && dayShift(from, -1), to && `${dayShift(to, 1)}~`),
    );
    const [views, plots] = await Promise.all([this.#live(rows), cut ? this.list('plot') : []]);
    if (!cut) return views as View<T>[];
    const zone = plots[0]?.body.time_zone;
    return views.filter((view) => {
      const day = dayIn(view.body.observed_at, zone);
      return day >= (from ?? '') && day <= (to ?? '~');
    }) as View<T>[];
  }

  async get<T extends RecordType>(type: T, id: string): Promise<View<T> | undefined> {
    const view = await this.anyOf(id);
    return view?.type === type ? (view as View<T>) : undefined;
  }

  /** The record, whatever its type; deleted or not. */
  async anyOf(id: string): Promise<View | undefined> {
    // By itself a tap asks this: it must not read all that waits to be sent.
    const ops = this.#known.has(OUTBOX)
      ? this.#queued().then((queued) => queued.get(id) ?? [])
      : this.tx.opsOf(id);
    const [row, mine] = await Promise.all([this.tx.get('records', id), ops]);
    return row && viewOf(row, mine, this.rules);
  }

  async countsOfRound(roundId: string): Promise<View<'slug_count'>[]> {
    const views = await this.#live(this.#once(`of ${roundId}`, () => this.tx.rowsOfRound(roundId)));
    return views.filter(
      ({ type, body }) => type === 'slug_count' && body.round_id === roundId,
    ) as View<'slug_count'>[];
  }

  async meta<T>(key: string): Promise<T | undefined> {
    return await metaIn<T>(this.tx, key);
  }

  async draft<T>(key: string): Promise<T | undefined> {
    return (await this.tx.get('drafts', key))?.value as T | undefined;
  }

  async #live(asked: Promise<Row[]>): Promise<View[]> {
    const [rows, queued] = await Promise.all([asked, this.#queued()]);
    return rows
      .map((row) => viewOf(row, queued.get(row.id) ?? [], this.rules))
      .filter((view) => !view.deleted);
  }

  #queued(): Promise<Map<string, Op[]>> {
    return this.#once(OUTBOX, async () => opsByRecord(await this.tx.all('outbox')));
  }

  #once<T>(key: string, read: () => Promise<T>): Promise<T> {
    const known = this.#known.get(key) as Promise<T> | undefined;
    const found = known ?? read();
    this.#known.set(key, found);
    return found;
  }
}

export function opsByRecord(ops: readonly Op[]): Map<string, Op[]> {
  const found = new Map<string, Op[]>();
  for (const op of ops) {
    const list = found.get(op.id);
    if (list) list.push(op);
    else found.set(op.id, [op]);
  }
  return found;
}
