// Where a row is found again. An index entry costs a pulled record a third of its time, so the bulk of all
// records (counts and readings, made on a phone at the very time they tell of) has none: their ids are
// UUIDv7 (RFC 9562, 5.7) and begin with that time, so a stretch of ids is a stretch of days. Whatever does not
// fit that (other types, late entries, imports, ids from elsewhere) is in an index.

import { RULES, type Rules } from '../sync/rules';
import { typedIn } from '../sync/view';
import type { Op, Row } from './rows';

const BULK: ReadonlySet<string> = new Set(['slug_count', 'temperature']);
const NEAR_MS = 2 * 86_400_000;

export function isBulk(type: string): boolean {
  return BULK.has(type);
}

/** Local time of the observation as written, which sorts and needs no time zone; '' if there is none. */
export function whenOf(row: Row): string {
  if (row.when !== undefined) return row.when;
  const at = row.body.observed_at;
  return typeof at === 'string' ? at.slice(0, 19) : '';
}

/** The round that a count belongs to. */
export function roundOf(row: Row): string | undefined {
  const id = row.in_round ?? row.body.round_id;
  return typeof id === 'string' ? id : undefined;
}

/** A tombstone about which nothing is open is in no list. */
export function isListed(row: Row): boolean {
  return !row.deleted || row.open === 1 || row.when !== undefined;
}

export function isWithin(row: Row, from = '', to = '\uffff'): boolean {
  const when = whenOf(row);
  return isListed(row) && when >= from && when <= to;
}

/** A count of this round that no index holds. */
export function isInRound(row: Row, roundId: string): boolean {
  return row.type === 'slug_count' && row.round_id === undefined && isListed(row) && roundOf(row) === roundId;
}

export function byId(rows: Row[]): Row[] {
  return rows.sort((a, b) => (a.id < b.id ? -1 : 1));
}

export function byTime(rows: Row[]): Row[] {
  const keyed = rows.map((row): [string, Row] => [whenOf(row), row]);
  return keyed.sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)).map(([, row]) => row);
}

/** Fill in what lists and indexes look at. `ops`: what is queued for the record. */
export function shelved(row: Row, ops: readonly Op[], rules: Rules = RULES): Row {
  const { at: _at, round_id: _round, open: _open, when: _when, in_round: _in, ...rest } = row;
  const out: Row = rest;
  if (row.conflicts.length > 0) out.open = 1;
  if (ops.length > 0) {
    const body = { ...row.body, ...typedIn(ops, rules) };
    out.when = typeof body.observed_at === 'string' ? body.observed_at.slice(0, 19) : '';
    if (typeof body.round_id === 'string') out.in_round = body.round_id;
  }
  return withKeys(out);
}

/** Give a row its index keys, if its id alone does not lead to it. Changes the row. */
export function withKeys(row: Row): Row {
  if (!isListed(row)) return row;
  const made = BULK.has(row.type) ? timeOf(row.id) : undefined;
  const when = whenOf(row);
  if (made === undefined || !isNear(Date.parse(`${when}Z`), made)) row.at = when;
  if (row.type !== 'slug_count') return row;
  const round = roundOf(row);
  if (round !== undefined && !isNear(timeOf(round), made)) row.round_id = round;
  return row;
}

function isNear(a: number | undefined, b: number | undefined): boolean {
  return a !== undefined && b !== undefined && Math.abs(a - b) <= NEAR_MS;
}

/** Milliseconds in a UUIDv7; undefined for any other id. */
export function timeOf(id: string): number | undefined {
  if (id.length !== 36 || id[14] !== '7') return undefined;
  const ms = timeIn(id);
  return Number.isNaN(ms) ? undefined : ms;
}

/** Milliseconds at the beginning of a UUIDv7 or of a bound of a stretch; NaN if there are none. */
export function timeIn(id: string): number {
  return Number.parseInt(id.slice(0, 8) + id.slice(9, 13), 16);
}

/** First and last possible id of the bulk rows whose local time lies in [from, to]; none given is no bound. */
export function stretchOfTime(from: string | undefined, to: string | undefined): [string, string] {
  const low = from ? Date.parse(`${from.slice(0, 10)}T00:00:00Z`) - NEAR_MS : 0;
  const high = to ? Date.parse(`${to.slice(0, 10)}T23:59:59Z`) + NEAR_MS + 1000 : 2 ** 48 - 1;
  return [idAt(low), `${idAt(high)}~`];
}

/** First and last possible id of the counts that lie near their round; undefined if the id tells no time. */
export function stretchOfRound(roundId: string): [string, string] | undefined {
  const made = timeOf(roundId);
  return made === undefined ? undefined : [idAt(made - NEAR_MS), `${idAt(made + NEAR_MS)}~`];
}

export function idAt(ms: number): string {
  const hex = Math.max(0, ms).toString(16).padStart(12, '0');
  return `${hex.slice(0, 8)}-${hex.slice(8)}`;
}
