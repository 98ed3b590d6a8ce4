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

  // Revisions never go down within one history; after a restore they may.
  isOlder: (row, copy, standing) => row.epoch === standing.epoch && copy.rev < row.rev,

  // An answer acknowledges one operation. It says nothing of what others did before it.
  answerMovesBase: () => false,

  // The original ids, so that a server which still has them answers "duplicate".
  replay(archived, outbox) {
    const queued = new Set(outbox.map((op) => op.op_id));
    return archived
      .filter((op) => !queued.has(op.op_id))
      .map((op) => ({ ...op, replay: true, retries: 0, next_try: 0 }));
  },
};
