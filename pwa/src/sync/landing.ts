// Answers of large batches are taken in late. Writing ten thousand rows only to say "the server has it now" would
// take longer than sending them, and the pull that follows brings those rows anyway. So a plain `applied` of a
// large batch is kept as one small note; whoever reads such a row in the meantime is given it with the answer
// taken in, and whoever writes it writes it so. The end of the next pull throws the notes away.

import { metaIn } from '../storage/meta_rows';
import type { Key, Store, Tx, WriteOptions } from '../storage/port';
import { opsByRecord } from '../storage/reading';
import type { Op, Row, Shelves, StoreName } from '../storage/rows';
import { acknowledged, type Result } from './merge';
import { RULES, type Rules } from './rules';

/**
 * Kept in meta.landed: the archive row that holds the operations, and which of them do not wait (as a rule none). Each
 * of the others got the revision after its base. Earlier releases wrote down all revisions instead.
 */
export type Note = { key: string; epoch: string; but?: string[]; revs?: Record<string, number> };
type Answer = { op: Op; epoch: string; rev: number };

/** May this answer wait? Only if nothing at all lay between the base its person saw and the server's state. */
export function mayWait(op: Op, result: Result, epoch: string): boolean {
  return (
    result.status === 'applied' &&
    !result.record &&
    op.kind === 'put' &&
    !op.replay &&
    op.base_epoch === epoch &&
    result.rev === op.base_rev + 1
  );
}

/** Keys of the archive rows whose answers wait. */
export async function landedIn(tx: Tx): Promise<string[]> {
  return ((await metaIn<Note[]>(tx, 'landed')) ?? []).map((note) => note.key);
}

/** A store whose rows have the waiting answers taken in. */
export class Landing implements Store {
  readonly #answers = new Map<string, Map<string, Answer>>();

  constructor(
    readonly base: Store,
    readonly rules: Rules = RULES,
  ) {}

  read<T>(stores: StoreName[], work: (tx: Tx) => Promise<T>): Promise<T> {
    return this.base.read(reach(stores), async (tx) => work(await this.#over(stores, tx)));
  }

  write<T>(stores: StoreName[], work: (tx: Tx) => Promise<T>, options?: WriteOptions): Promise<T> {
    return this.base.write(reach(stores), async (tx) => work(await this.#over(stores, tx)), options);
  }

  async #over(stores: StoreName[], tx: Tx): Promise<Tx> {
    if (!stores.includes('records')) return tx;
    const notes = await metaIn<Note[]>(tx, 'landed');
    if (!notes) {
      this.#answers.clear();
      return tx;
    }
    const waiting = new Map<string, Answer>();
    for (const note of notes) for (const [id, answer] of await this.#read(tx, note)) waiting.set(id, answer);
    return new LandingTx(tx, waiting, this.rules);
  }

  /** Notes never change, so each is read once. */
  async #read(tx: Tx, note: Note): Promise<Map<string, Answer>> {
    const known = this.#answers.get(note.key);
    if (known) return known;
    const answers = new Map<string, Answer>();
    for (const op of (await tx.get('archive', note.key))?.ops ?? []) {
      const rev = note.revs ? note.revs[op.op_id] : op.base_rev + 1;
      if (rev !== undefined && !note.but?.includes(op.op_id))
        answers.set(op.id, { op, epoch: note.epoch, rev });
    }
    this.#answers.set(note.key, answers);
    return answers;
  }
}

function reach(stores: StoreName[]): StoreName[] {
  if (!stores.includes('records')) return stores;
  return [...new Set<StoreName>([...stores, 'meta', 'archive', 'outbox'])];
}

class LandingTx implements Tx {
  #queued: Map<string, Op[]> | undefined;
  readonly put: Tx['put'];
  readonly lay: Tx['lay'];
  readonly shed: Tx['shed'];
  readonly queue: Tx['queue'];
  readonly drop: Tx['drop'];
  readonly dropRange: Tx['dropRange'];
  readonly count: Tx['count'];
  readonly opsOf: Tx['opsOf'];
  readonly opsFrom: Tx['opsFrom'];
  readonly waitingPhotos: Tx['waitingPhotos'];
  readonly photosIn: Tx['photosIn'];
  readonly thumbs: Tx['thumbs'];

  constructor(
    readonly tx: Tx,
    readonly waiting: ReadonlyMap<string, Answer>,
    readonly rules: Rules,
  ) {
    this.put = tx.put.bind(tx);
    this.lay = tx.lay.bind(tx);
    this.shed = tx.shed.bind(tx);
    this.queue = tx.queue.bind(tx);
    this.drop = tx.drop.bind(tx);
    this.dropRange = tx.dropRange.bind(tx);
    this.count = tx.count.bind(tx);
    this.opsOf = tx.opsOf.bind(tx);
    this.opsFrom = tx.opsFrom.bind(tx);
    this.waitingPhotos = tx.waitingPhotos.bind(tx);
    this.photosIn = tx.photosIn.bind(tx);
    this.thumbs = tx.thumbs.bind(tx);
  }

  async get<S extends StoreName>(store: S, key: Key<S>): Promise<Shelves[S] | undefined> {
    const found = await this.tx.get(store, key);
    if (store !== 'records' || !found) return found;
    return (await this.#settle([found as Row]))[0] as Shelves[S] | undefined;
  }
  async all<S extends StoreName>(store: S): Promise<Shelves[S][]> {
    const found = await this.tx.all(store);
    return store === 'records' ? ((await this.#settle(found as Row[])) as Shelves[S][]) : found;
  }
  async rows(ids: readonly string[]): Promise<(Row | undefined)[]> {
    return await this.#settle(await this.tx.rows(ids));
  }
  async rowsOf(type: string, from?: string, to?: string): Promise<Row[]> {
    return await this.#settle(await this.tx.rowsOf(type, from, to));
  }
  async rowsOfRound(roundId: string): Promise<Row[]> {
    return await this.#settle(await this.tx.rowsOfRound(roundId));
  }
  async openRows(): Promise<Row[]> {
    return await this.#settle(await this.tx.openRows());
  }

  async #settle<R extends Row | undefined>(rows: R[]): Promise<R[]> {
    if (!rows.some((row) => row && this.#answerTo(row))) return rows;
    this.#queued ??= opsByRecord(await this.tx.all('outbox'));
    const queued = this.#queued;
    return rows.map((row) => {
      const answer = row && this.#answerTo(row);
      if (!row || !answer) return row;
      const rest = (queued.get(row.id) ?? []).filter((op) => op.n > answer.op.n);
      const result: Result = { op_id: answer.op.op_id, status: 'applied', rev: answer.rev };
      const standing = { epoch: answer.epoch, seen: row.seen };
      return acknowledged(row, answer.op, result, rest, standing, this.rules) as R;
    });
  }

  /** The answer that this row has not taken in yet. */
  #answerTo(row: Row): Answer | undefined {
    const answer = this.waiting.get(row.id);
    return answer && row.epoch === answer.epoch && row.rev < answer.rev ? answer : undefined;
  }
}
