// What is kept on the phone, one type per object store, and the view that screens are given.

import type { RecordOf, RecordType } from '../generated/api';

export type Fields = Record<string, unknown>;

/** RFC 9457 problem as the server sent it. */
export type Problem = {
  type: string;
  title: string;
  status?: number;
  detail?: string;
  errors?: { pointer: string; detail: string }[];
};

/** The other side of a clash: what somebody else (or this phone) meant to store. `id` is that operation's id. */
export type Conflict = {
  id: string;
  device?: string;
  why: 'overlap' | 'deleted' | 'delete-vs-edit';
  set: Fields;
  base_rev?: number;
};

/** The server copy a person last saw, held back while a newer copy clashes with what he typed. */
export type HeldBase = { rev: number; epoch: string; body: Fields };

/**
 * Store `records`: the newest server copy this phone has. Never the view: the view is this copy with the
 * outbox laid over it, worked out each time, because a stored view goes stale when an answer is lost.
 */
export type Row = {
  id: string;
  /** Empty when only a tombstone of an unknown record has come. */
  type: RecordType | '';
  /** 0: no server has answered for it yet. */
  rev: number;
  /** Epoch of the server history that this copy belongs to; '' before the first sync. */
  epoch: string;
  deleted: boolean;
  body: Fields;
  conflicts: Conflict[];
  /** Number of the full pull that last brought it; a row that a whole pull did not bring is gone there. */
  seen: number;
  /** Present only while a newer copy differs in a field that is being edited here. */
  held?: HeldBase;
  /** Ids of the operations since the base revision that whoever edits next has seen. Absent means none. */
  own?: string[];
  /** Operations that had to take another id, by the one they had: a form that was open then knows that one. */
  renamed?: Record<string, string>;
  clock_suspect?: boolean;
  created_by_device?: string;
  /** Local time of the observation as its person sees it; only while something is queued (shelf.ts). */
  when?: string;
  /** Round of a slug count as its person sees it; only while something is queued. */
  in_round?: string;
  /** Index key: `when`, for rows that their id does not lead to (shelf.ts). */
  at?: string;
  /** Index key: the round, for counts that the round's id does not lead to. */
  round_id?: string;
  /** 1 while a conflict is open; absent otherwise, so that its index holds only those. */
  open?: 1;
};

export type OpKind = 'put' | 'del' | 'resolve';

/** Store `outbox`: one act of a person, on its way. `n` is the order in which they were done. */
export type Op = {
  n: number;
  op_id: string;
  kind: OpKind;
  type?: RecordType;
  id: string;
  base_rev: number;
  base_epoch: string;
  after: string[];
  set: Fields;
  conflicts?: string[];
  /** Schema number the fields were written for; 0 before the first pull. */
  schema: number;
  /** How often the server said `retry` for this one. */
  retries: number;
  /** Not to be sent before this time, ms; 0 is at once. */
  next_try: number;
  /** The server will never take it as it is. */
  problem?: Problem;
  /** Sent again after a restore; its person is not editing, so it never overlays the view. */
  replay?: boolean;
  /** Taken in from another phone's file: that phone may send it too, so its bytes never change. */
  foreign?: boolean;
};
export type NewOp = Omit<Op, 'n'>;

/**
 * Store `archive`: operations the server acknowledged, one row for each answer, kept in case the server is
 * restored from an older backup. The key begins with the time, so that old rows go by one range deletion.
 */
export type ArchiveRow = { key: string; ops: Op[] };

export type PhotoRow = {
  sha256: string;
  bytes: ArrayBuffer;
  mime: string;
  width?: number;
  height?: number;
  taken_at: string;
  added_at: number;
  state: 'waiting' | 'sent' | 'broken';
  /** `added_at` while it waits to be sent, absent after: its index holds only those. */
  waiting?: number;
  retries: number;
  next_try: number;
  words?: string;
};

/** Store `thumbs`: a small picture of a photo of the plot, kept when its original leaves this phone. */
export type ThumbRow = { sha256: string; bytes: ArrayBuffer };

export type KeyedRow = { key: string; value: unknown };

export type Shelves = {
  records: Row;
  outbox: Op;
  archive: ArchiveRow;
  photos: PhotoRow;
  thumbs: ThumbRow;
  drafts: KeyedRow;
  meta: KeyedRow;
};
export type StoreName = keyof Shelves;

/** A server copy, by its revision in one history of the server; `own`: what was seen of the queue beside it. */
export type Base = { rev: number; epoch: string; own?: string[] };

/** What a form was opened on: a view, or the part of one that a draft keeps. */
export type Shown = { id?: string; base?: Base; body: Fields };

/** A record as screens see it. */
export type View<T extends RecordType = RecordType> = {
  id: string;
  type: T;
  body: Partial<RecordOf[T]> & Fields;
  rev: number;
  /** The copy that whoever looks at it sees: older than `rev` while a newer one is held back. */
  base: Base;
  deleted: boolean;
  conflicts: Conflict[];
  /** Something of it is only on this phone. */
  pending: boolean;
  needs_fix?: Problem;
  /** The server keeps failing on it; still tried, hourly. */
  stuck?: boolean;
  deleted_elsewhere?: boolean;
  /** Someone else changed a field that is being changed here. */
  changed_elsewhere?: boolean;
  clock_suspect?: boolean;
  created_by_device?: string;
};
