// Saving and reading records. Every act goes into `records` and `outbox` in one strict transaction.

import type { RecordOf, RecordType } from '../generated/api';
import { type Act, blankRow, type Edit, edit, type Pen } from '../sync/edit';
import { RULES, type Rules } from '../sync/rules';
import { same } from '../sync/same';
import { viewOf } from '../sync/view';
import { announce } from './changes';
import { dayIn, dayShift } from './days';
import { newId } from './ids';
import { metaIn, standingIn } from './meta_rows';
import type { Store, Tx } from './port';
import type { Fields, Op, Row, StoreName, View } from './rows';

export type SaveItem = {
  [T in RecordType]: { type: T; id: string; set: Partial<RecordOf[T]> & Fields };
}[RecordType];
export type DateRange = { from?: string; to?: string };

/** What a screen needs to know at once. */
export interface Wanted {
  types: readonly RecordType[];
  ids: readonly string[];
  round?: string;
  metas: readonly string[];
  draft: string;
}
export interface Glance {
  types: Map<RecordType, View[]>;
  ids: Map<string, View>;
  counts: View[];
  metas: Map<string, unknown>;
  draft: unknown;
}

const WRITES: StoreName[] = ['records', 'outbox', 'meta'];

export class Records {
  constructor(
    readonly store: Store,
    readonly rules: Rules = RULES,
    readonly tell: typeof announce = announce,
    readonly nextId: () => string = newId,
  ) {}

  async save(
    items: readonly { type: RecordType; id: string; set: Fields }[],
    gone: readonly string[] = [],
  ): Promise<void> {
    const puts = items.map(
      ({ type, id, set }): Act => ({ kind: 'put', type, id, set: structuredClone(set) }),
    );
    await this.#act([...puts, ...gone.map((id): Act => ({ kind: 'del', type: undefined, id, set: {} }))]);
  }

  async remove(id: string): Promise<void> {
    await this.save([], [id]);
  }

  /** `also`: records to be saved in the same transaction. */
  async resolve(
    id: string,
    conflicts: string[],
    set: Fields = {},
    also: readonly { type: RecordType; id: string; set: Fields }[] = [],
  ): Promise<void> {
    const puts = also.map((item): Act => ({ kind: 'put', ...structuredClone(item) }));
    await this.#act([
      ...puts,
      { kind: 'resolve', type: undefined, id, set: structuredClone(set), conflicts },
    ]);
  }

  async get(id: string): Promise<View | undefined> {
    return await this.store.read(['records', 'outbox'], async (tx) => {
      const row = await tx.get('records', id);
      return row ? viewOf(row, await tx.opsOf(id), this.rules) : undefined;
    });
  }

  /** Not the deleted ones; oldest observation first. Days are local days of the plot. */
  async list(type: RecordType, range: DateRange = {}): Promise<View[]> {
    const from = range.from ? dayShift(range.from, -1) : undefined;
    const to = range.to ? `${dayShift(range.to, 1)}~` : undefined;
    return await this.store.read(['records', 'outbox'], async (tx) => {
      const views = await this.#views(tx, await tx.rowsOf(type, from, to));
      if (!range.from && !range.to) return views;
      const [plot] = await this.#views(tx, await tx.rowsOf('plot'));
      const zone = plot?.body.time_zone as string | undefined;
      return views.filter((view) => {
        const day = dayIn(view.body.observed_at, zone);
        return day >= (range.from ?? '') && day <= (range.to ?? '~');
      });
    });
  }

  async countsOfRound(roundId: string): Promise<View[]> {
    return await this.store.read(['records', 'outbox'], async (tx) =>
      this.#views(tx, await tx.rowsOfRound(roundId)),
    );
  }

  /** Everything in one transaction: on a slow phone each question of its own costs as much as its answer. */
  async glance(wanted: Wanted): Promise<Glance> {
    return await this.store.read(['records', 'outbox', 'meta', 'drafts'], async (tx) => {
      const [ops, types, rows, counts, metas, draft] = await Promise.all([
        tx.all('outbox'),
        Promise.all(wanted.types.map((type) => tx.rowsOf(type))),
        Promise.all(wanted.ids.map((id) => tx.get('records', id))),
        wanted.round ? tx.rowsOfRound(wanted.round) : [],
        Promise.all(wanted.metas.map((key) => metaIn<unknown>(tx, key))),
        tx.get('drafts', wanted.draft),
      ]);
      const byRecord = opsByRecord(ops);
      const view = (row: Row): View => viewOf(row, byRecord.get(row.id) ?? [], this.rules);
      const live = (found: Row[]): View[] => found.map(view).filter(({ deleted }) => !deleted);
      return {
        types: new Map(wanted.types.map((type, i) => [type, live(types[i] ?? [])])),
        ids: new Map(rows.flatMap((row) => (row ? [[row.id, view(row)] as const] : []))),
        counts: live(counts),
        metas: new Map(wanted.metas.map((key, i) => [key, metas[i]])),
        draft: draft?.value,
      };
    });
  }

  /** Conflicts to settle, entries the server refused, records that somebody deleted meanwhile. */
  async needsYou(): Promise<View[]> {
    return await this.store.read(['records', 'outbox'], async (tx) => {
      const found = new Map((await tx.openRows()).map((row) => [row.id, row]));
      const byRecord = opsByRecord(await tx.all('outbox'));
      for (const id of byRecord.keys()) {
        const row = found.get(id) ?? (await tx.get('records', id));
        if (row) found.set(id, row);
      }
      return [...found.values()]
        .map((row) => viewOf(row, byRecord.get(row.id) ?? [], this.rules))
        .filter(asks);
    });
  }

  /** Give up what the server refused, at its person's word (offer the file first). */
  async discard(id: string): Promise<void> {
    const type = await this.store.write(WRITES, async (tx) => {
      const row = await tx.get('records', id);
      const ops = await tx.opsOf(id);
      for (const op of ops) if (op.problem) tx.drop('outbox', op.n);
      if (row?.rev === 0 && ops.every((op) => op.problem)) tx.drop('records', id);
      else if (row) tx.put('records', row); // as it is: what is seen of it changes (touched.ts)
      return row?.type;
    });
    this.tell([type ?? '*', 'outbox'], [id]);
  }

  async #views(tx: Tx, rows: Row[]): Promise<View[]> {
    const byRecord = opsByRecord(await tx.all('outbox'));
    const views = rows.map((row) => viewOf(row, byRecord.get(row.id) ?? [], this.rules));
    return views.filter((view) => !view.deleted);
  }

  async #act(acts: Act[]): Promise<void> {
    const types = await this.store.write(WRITES, async (tx) => {
      const pen = await readPen(tx);
      const touched = new Set<string>();
      const rows = await tx.rows(acts.map((act) => act.id));
      const begun = new Set<string>();
      for (const [i, act] of acts.entries()) {
        // A second act on a record in one go stands on the first.
        const row = begun.has(act.id) ? await tx.get('records', act.id) : rows[i];
        begun.add(act.id);
        touched.add(await this.#one(tx, act, row, pen));
      }
      return touched;
    });
    this.tell(
      [...types, 'outbox'],
      acts.map((act) => act.id),
    );
  }

  async #one(tx: Tx, act: Act, known: Row | undefined, pen: Omit<Pen, 'op_id'>): Promise<string> {
    if (!known && !act.type) return '*';
    const row = known ?? blankRow(act.id, act.type ?? '', pen.epoch);
    const ops = known ? await tx.opsOf(act.id) : [];
    const set = known && act.kind === 'put' ? changed(act.set, viewOf(row, ops, this.rules)) : act.set;
    const undone = ops.at(-1)?.kind === 'del';
    if (known && act.kind === 'put' && Object.keys(set).length === 0 && !undone) return row.type || '*';
    write(tx, edit(row, ops, { ...act, set, ...typeOf(row) }, { ...pen, op_id: this.nextId() }, this.rules));
    return row.type || '*';
  }
}

function typeOf(row: Row): { type: RecordType } | object {
  return row.type ? { type: row.type } : {};
}

function write(tx: Tx, edited: Edit): void {
  tx.put('records', edited.row);
  if (edited.drop !== undefined) tx.drop('outbox', edited.drop);
  if (edited.put) tx.put('outbox', edited.put);
  if (edited.queue) tx.queue(edited.queue);
}

/** An edit is a diff: a form that sends back what it showed says nothing, but of a time that a wrong clock gave. */
function changed(set: Fields, { body, clock_suspect }: View): Fields {
  return Object.fromEntries(
    Object.entries(set).filter(
      ([field, value]) => !same(value, body[field]) || (clock_suspect && field === 'observed_at'),
    ),
  );
}

function asks(view: View): boolean {
  return view.conflicts.length > 0 || view.needs_fix !== undefined || view.deleted_elsewhere === true;
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

async function readPen(tx: Tx): Promise<Omit<Pen, 'op_id'>> {
  const [attempted, standing] = await Promise.all([metaIn<number>(tx, 'attempted'), standingIn(tx)]);
  return { attempted: attempted ?? 0, epoch: standing.epoch, schema: standing.schema };
}
