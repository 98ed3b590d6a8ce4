// The port to whatever keeps the rows: IndexedDB on a phone, plain maps where a test wants speed.
// Both pass the same suite (store_suite.ts).

import type { NewOp, Op, PhotoRow, Row, Shelves, StoreName } from './rows';

export type Key<S extends StoreName> = S extends 'outbox' ? number : string;

/**
 * One transaction. Never await anything else than these calls inside it: IndexedDB commits a transaction as
 * soon as nothing is asked of it. `put`, `queue` and `drop` are not awaited; if one fails, all of it fails.
 */
export interface Tx {
  get<S extends StoreName>(store: S, key: Key<S>): Promise<Shelves[S] | undefined>;
  all<S extends StoreName>(store: S): Promise<Shelves[S][]>;
  count(store: StoreName): Promise<number>;
  /** Operations of one record, in the order they were done. */
  opsOf(id: string): Promise<Op[]>;
  /** Operations numbered `n` and later, in order. */
  opsFrom(n: number, count?: number): Promise<Op[]>;
  /** Rows of a type whose local time lies in [from, to], oldest first; bare tombstones are not among them. */
  rowsOf(type: string, from?: string, to?: string): Promise<Row[]>;
  /** The rows of these records, undefined where there is none; reads in bulk where the ids lie close together. */
  rows(ids: readonly string[]): Promise<(Row | undefined)[]>;
  rowsOfRound(roundId: string): Promise<Row[]>;
  /** Rows with an open conflict. */
  openRows(): Promise<Row[]>;
  /** Hashes of the photos still to be sent, newest first. */
  waitingPhotos(): Promise<string[]>;
  /** Hashes of the photos whose originals are here, by how far they have come, oldest first. */
  photosIn(state: PhotoRow['state']): Promise<string[]>;
  /** Hashes of the photos of which a small picture is here. */
  thumbs(): Promise<string[]>;
  put<S extends StoreName>(store: S, value: Shelves[S]): void;
  /** Put records of which nobody knows yet, as a first pull brings them: the cheapest way for many. */
  lay(rows: readonly Row[]): Promise<void>;
  /** Give back the room of what was laid down and has been put anew since. */
  shed(): Promise<void>;
  /** Append to the outbox; the store numbers it. */
  queue(op: NewOp): void;
  drop<S extends StoreName>(store: S, key: Key<S>): void;
  /** Drop all keys in [from, to] by one request. */
  dropRange<S extends StoreName>(store: S, from: Key<S>, to: Key<S>): void;
}

export type WriteOptions = {
  /** false only for what can be fetched again: pulled pages. */
  strict?: boolean;
};

export interface Store {
  read<T>(stores: StoreName[], work: (tx: Tx) => Promise<T>): Promise<T>;
  /** Resolves once everything is stored for good; rejects with nothing stored. */
  write<T>(stores: StoreName[], work: (tx: Tx) => Promise<T>, options?: WriteOptions): Promise<T>;
}
