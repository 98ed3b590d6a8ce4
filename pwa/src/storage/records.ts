// Saving and reading records. Every act goes into `records` and `outbox` in one strict transaction.

import type { RecordOf, RecordType } from '../generated/api';
import { type Act, blankRow, type Edit, edit, type Pen } from '../sync/edit';
import { RULES, type Rules } from '../sync/rules';
import { same } from '../sync/same';
import { viewOf } from '../sync/view';
import { announce } from './changes';
import { newId } from './ids';
import { metaIn, standingIn } from './meta_rows';
import type { Store, Tx } from './port';
import { type DateRange, opsByRecord, Reading } from './reading';
import type { Fields, Row, Shown, StoreName, View } from './rows';

export type SaveItem = {
  [T in RecordType]: {
    type: T;
    id: string;
    set: Partial<RecordOf[T]> & Fields;
    /** What the form showed that changes it. */
    shown?: Shown | undefined;
  };
}[RecordType];

/** A record to be removed: its id, and what was shown of it if that may have stood open for a while. */
export type Gone = string | { id: string; shown: Shown | undefined };

const WRITES: StoreName[] = ['records', 'outbox', 'meta'];

export class Records {
  constructor(
    readonly store: Store,
    readonly rules: Rules = RULES,
    readonly tell: typeof announce = announce,
    readonly nextId: () => string = newId,
  ) {}

  async save(
    items: readonly { type: RecordType; id: string; set: Fields; shown?: Shown | undefined }[],
    gone: readonly Gone[] = [],
  ): Promise<void> {
    const puts = items.map((item): Act => ({ kind: 'put', ...structuredClone(item) }));
    const dels = gone.map((one): Act => {
      return { kind: 'del', type: undefined, set: {}, ...(typeof one === 'string' ? { id: one } : one) };
    });
    await this.#act([...puts, ...dels]);
  }

  async remove(id: string): Promise<void> {
    await this.save([], [id]);
  }

  /** `also`: records to be saved in the same transaction. `shown`: the record as its person saw it. */
  async resolve(
    id: string,
    conflicts: string[],
    set: Fields = {},
    also: readonly { type: RecordType; id: string; set: Fields }[] = [],
    shown?: Shown,
  ): Promise<void> {
    const puts = also.map((item): Act => ({ kind: 'put', ...structuredClone(item) }));
    await this.#act([
      ...puts,
      { kind: 'resolve', type: undefined, id, set: structuredClone(set), conflicts, shown },
    ]);
  }

  async get(id: string): Promise<View | undefined> {
    return await this.#read((reading) => reading.anyOf(id));
  }

  /** Not the deleted ones; oldest observation first. Days are local days of the plot. */
  async list(type: RecordType, range: DateRange = {}): Promise<View[]> {
    return await this.#read((reading) => reading.list(type, range));
  }

  async countsOfRound(roundId: string): Promise<View<'slug_count'>[]> {
    return await this.#read((reading) => reading.countsOfRound(roundId));
  }

  /** Everything that `ask` asks for in one transaction. */
  async together<T>(ask: (reading: Reading) => Promise<T>): Promise<T> {
    return await this.#read(ask, ['meta', 'drafts']);
  }

  async #read<T>(ask: (reading: Reading) => Promise<T>, more: StoreName[] = []): Promise<T> {
    return await this.store.read(['records', 'outbox', ...more], (tx) => ask(new Reading(tx, this.rules)));
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

async function readPen(tx: Tx): Promise<Omit<Pen, 'op_id'>> {
  const [attempted, standing] = await Promise.all([metaIn<number>(tx, 'attempted'), standingIn(tx)]);
  return { attempted: attempted ?? 0, epoch: standing.epoch, schema: standing.schema };
}
