// The rules on which nothing may be lost, one function each, so that a test can put a wrong one in the place
// of one right one and see that it is caught.

import type { Fields, Op, Row } from '../storage/rows';
import { same } from './same';

/** A record as the server sends it, in a pulled page or beside a result. A tombstone may lack type and body. */
export type ServerCopy = {
  id: string;
  type?: Row['type'];
  rev: number;
  seq?: number;
  deleted: boolean;
  body?: Fields;
  conflicts?: Row['conflicts'];
  clock_suspect?: boolean;
  created_by_device?: string;
};

export type Standing = { epoch: string; seen: number };

export type Rules = {
  /** Is this operation laid over the server copy in the view? */
  overlays(op: Op): boolean;
  /** Does the server copy differ, in a field that is being edited here, from what its person saw and typed? */
  clashes(base: Fields, typed: Fields, copy: ServerCopy): boolean;
  /** Fields that `set` changes (all, for a removal) and whose value now is neither what its form showed nor what it sets. */
  unseen(shown: Fields, now: Fields, set: Fields | undefined): string[];
  /** Is the stored row to stay although this copy came? */
  isOlder(row: Row, copy: ServerCopy, standing: Standing): boolean;
  /** Does an answer to this operation move a base that a clash holds back? */
  answerMovesBase(op: Op): boolean;
  /** What to send again to a server that was restored from a backup. */
  replay(archived: Op[], outbox: Op[]): Op[];
};

export const RULES: Rules = {
  // A replayed operation is this phone's past, not what its person is typing: were it laid over the copy,
  // he would type over a value that he cannot see.
  overlays: (op) => !op.replay,

  // Only then may the base move: otherwise an older edit would pass the server's check as if its person had
  // seen the newer value ("laundering").
  clashes: (base, typed, copy) =>
    copy.body !== undefined &&
    Object.keys(typed).some(
      (field) => !same(copy.body?.[field], base[field]) && !same(copy.body?.[field], typed[field]),
    ),

  // A form shows a record as it was when it was opened: what has come since is not known to whoever saves it.
  unseen(shown, now, set) {
    const differs = (field: string, from: Fields) => !same(now[field] ?? null, from[field] ?? null);
    return Object.keys(set ?? { ...now, ...shown }).filter(
      (field) => differs(field, shown) && (!set || differs(field, set)),
    );
  },

  // Revisions never go down within one history; after a restore they may.
  isOlder: (row, copy, standing) => row.epoch === standing.epoch && copy.rev < row.rev,

  // An answer acknowledges one operation. It says nothing of what others did before it.
  answerMovesBase: () => false,

  // The original ids, so that a server which still has them answers "duplicate". Each stands behind what its
  // person had written on the record before: the revisions that told so are gone with the server's memory, and
  // without it a count corrected twice that day would be a question to the one who corrected it.
  replay(archived, outbox) {
    const queued = new Set(outbox.map((op) => op.op_id));
    const own = new Map<string, string[]>();
    return archived
      .filter((op) => !queued.has(op.op_id))
      .sort((a, b) => a.n - b.n)
      .map((op) => {
        const past = own.get(op.id) ?? [];
        if (!op.foreign) own.set(op.id, [...past, op.op_id]);
        return { ...(op.foreign ? op : behind(op, past)), replay: true, retries: 0, next_try: 0 };
      });
  },
};

/** As many of its forerunners as an operation may name on the wire. */
const MOST_NAMED = 1000;

/** The operation with these, oldest first, as seen by its person. */
export function behind(op: Op, past: readonly string[]): Op {
  return { ...op, after: [...new Set([...past, ...op.after])].slice(-MOST_NAMED) };
}
