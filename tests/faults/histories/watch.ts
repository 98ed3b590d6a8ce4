// What a phone must never do on the way, whatever it looks like at the end.

import type { Op, Row, View } from '../../../pwa/src/storage/rows';
import { same } from '../../../pwa/src/sync/same';

export type Slip = { kind: 'REWRITTEN' | 'BACKWARDS' | 'DISTURBED'; what: string };

/** One phone, watched. */
export class Watch {
  readonly slips: Slip[] = [];
  readonly #sent = new Map<string, string>();
  readonly #revs = new Map<string, number>();

  constructor(readonly person: number) {}

  /**
   * A batch was sent, and the server may have stored it: from now on the bytes of its operations stand. Only to a server that
   * was restored may an operation name more of its phone's own past than before. `here`: what the phone still has, to be sent or
   * to be sent again; an id that it had to give up (another one's operation had it) may come back to it with that other one's.
   */
  sent(body: string, here: ReadonlySet<string>): void {
    const { epoch, ops } = JSON.parse(body) as { epoch: string; ops: { op_id: string; after?: string[] }[] };
    for (const op of ops) {
      const { after: _, ...rest } = op;
      this.#stands(op.op_id, JSON.stringify(rest));
      this.#stands(`${epoch} ${op.op_id}`, JSON.stringify(op));
      if (!here.has(op.op_id)) for (const key of [op.op_id, `${epoch} ${op.op_id}`]) this.#sent.delete(key);
    }
  }

  #stands(key: string, bytes: string): void {
    const before = this.#sent.get(key) ?? bytes;
    if (before !== bytes) this.#add('REWRITTEN', `${before} is now ${bytes}`);
    this.#sent.set(key, bytes);
  }

  /** Within one history of the server no row of the phone goes back. */
  rows(rows: readonly Row[]): void {
    for (const { id, epoch, rev } of rows) {
      const before = this.#revs.get(`${epoch} ${id}`) ?? 0;
      if (rev < before) this.#add('BACKWARDS', `${id} from ${before} to ${rev}`);
      this.#revs.set(`${epoch} ${id}`, rev);
    }
  }

  /** Nobody typed between these two looks: what was typed and not sent waits as it did, and stands on the screen. */
  undisturbed(before: Look, after: Look): void {
    const waiting = new Map(after.ops.map((op) => [op.op_id, op]));
    const seen = new Map(after.views.map((view) => [view.id, view.body]));
    const shown = new Map(before.views.map((view) => [view.id, view.body]));
    for (const op of before.ops) {
      if (!same(waiting.get(op.op_id)?.set, op.set)) this.#add('DISTURBED', `no longer waiting: ${JSON.stringify(op)}`);
      if (op.replay) continue; // its person is done with it
      for (const field of Object.keys(op.set)) {
        const [was, is] = [shown.get(op.id)?.[field], seen.get(op.id)?.[field]];
        if (was !== is) this.#add('DISTURBED', `${field} of ${op.id} was shown as ${was}, now ${is}`);
      }
    }
  }

  #add(kind: Slip['kind'], what: string): void {
    this.slips.push({ kind, what: `person ${this.person}: ${what}` });
  }
}

/** What waits on a phone, and what its person sees. */
export type Look = { ops: readonly Op[]; views: readonly View[] };
