// What must hold whatever went wrong: nothing typed is lost, nothing is overwritten unseen, all see the same.

import type { Conflict, Fields } from '../../../pwa/src/storage/rows';
import { same } from '../../../pwa/src/sync/same';
import type { Truth } from './house';
import type { Phone } from './phone';
import type { Slip } from './watch';

/** Who typed a value, where, and what stood on his screen when he did. */
export type Typed = { person: number; id: string; field: string; seen: unknown };
export type Finding =
  | { kind: 'LOST' | 'SWALLOWED' | 'RESURRECTED' | 'SILENT OVERWRITE' | 'DIVERGED' | 'STUCK'; what: string }
  | Slip;

export class Oracle {
  /** Every value is a number that is typed once in a history. */
  readonly typed = new Map<number, Typed>();
  /** Overwritten by the same person before it had ever left his phone. */
  readonly rubbedOut = new Set<number>();
  /** Epoch in which an operation was applied, and the epoch it was based on. */
  readonly applied = new Map<string, { epoch: string; base_epoch: string }>();
  readonly findings: Finding[] = [];

  /** Look at a server that is about to be restored, or at the end. */
  judge(truth: Truth): void {
    const gone = new Set<string>();
    for (const change of truth.changes) {
      if (change.kind === 'del') gone.add(change.id);
      // Written into a record that nobody is shown any more: kept, but out of reach.
      else if (change.kind === 'put' && gone.has(change.id)) this.#add('SWALLOWED', JSON.stringify(change.set));
      const how = this.applied.get(change.op_id);
      // After a restore the server works from the last common revision: what it cannot know it cannot keep.
      if (change.kind !== 'put' || how?.epoch !== truth.epoch || how.base_epoch !== truth.epoch) continue;
      for (const [field, value] of Object.entries(change.set)) this.#overwrite(field, value, change.prev[field]);
    }
    for (const record of truth.records) {
      if (gone.has(record.id) && !record.deleted) this.#add('RESURRECTED', brief(record));
    }
  }

  #overwrite(field: string, value: unknown, prev: unknown): void {
    const mine = this.typed.get(value as number);
    const theirs = this.typed.get(prev as number);
    if (!mine || !theirs || theirs.person === mine.person) return;
    // What he saw when he typed, what was seen when that was typed, and so on.
    const seen = new Set<unknown>();
    for (let link: unknown = mine.seen; link !== undefined && !seen.has(link); ) {
      seen.add(link);
      link = this.typed.get(link as number)?.seen;
    }
    if (!seen.has(prev)) this.#add('SILENT OVERWRITE', `${field}: ${prev} by ${value}`);
  }

  async end(truth: Truth, phones: Phone[]): Promise<Finding[]> {
    this.judge(truth);
    this.#lost(truth);
    for (const phone of phones) {
      const outbox = await phone.outbox();
      if (outbox.length > 0) this.#add('STUCK', `person ${phone.person}: ${JSON.stringify(outbox).slice(0, 600)}`);
      await this.#diverged(truth, phone);
      this.findings.push(...phone.watch.slips);
    }
    return this.findings;
  }

  #lost(truth: Truth): void {
    const sets: Fields[] = [
      ...truth.changes.map((change) => change.set),
      ...truth.conflict_sets.map((conflict) => conflict.set),
      ...truth.records.map((record) => record.body),
    ];
    const kept = new Set(sets.flatMap((set) => Object.values(set)));
    for (const [value, { id, field, person }] of this.typed) {
      if (kept.has(value) || this.rubbedOut.has(value)) continue;
      this.#add('LOST', `${value} in ${field} of ${id} by person ${person}`);
    }
  }

  async #diverged(truth: Truth, phone: Phone): Promise<void> {
    const shown = new Map((await phone.views()).map((view) => [view.id, view]));
    for (const record of truth.records) {
      const view = shown.get(record.id);
      shown.delete(record.id);
      if (!view && record.deleted && record.conflicts.length === 0) continue;
      const alike =
        view !== undefined &&
        view.rev === record.rev &&
        view.deleted === record.deleted &&
        (record.deleted || same(view.body, record.body)) &&
        same(sides(view.conflicts), sides(record.conflicts));
      if (!alike) this.#add('DIVERGED', `person ${phone.person}: ${brief(view)} server ${brief(record)}`);
    }
    for (const view of shown.values()) {
      if (!view.deleted) this.#add('DIVERGED', `person ${phone.person}: ${brief(view)} only there`);
    }
  }

  #add(kind: Finding['kind'], what: string): void {
    this.findings.push({ kind, what });
  }
}

/** The conflicts of a record by their ids: what each holds. */
function sides(conflicts: Conflict[] = []): Fields {
  return Object.fromEntries(conflicts.map(({ id, why, set }) => [id, { why, set }]));
}

function brief(record: unknown): string {
  return JSON.stringify(record)?.slice(0, 400) ?? 'nothing';
}
