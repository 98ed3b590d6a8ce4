/** What a file of unsent records holds, in lines that a person can check against his memory. Pure. */
import type { FileOp } from '../../sync/unsent';
import { localDay } from '../forms/local_time';

export interface Line {
  /** A record type, or `change` for edits of records that are at home already, or `gone` for deletions. */
  what: string;
  /** Local day of the observations; empty where there is none. */
  day: string;
  who: string;
  n: number;
}

const text = (value: unknown): string => (typeof value === 'string' ? value : '');

/** New records by kind, day and observer; newest day first. One record counts once, however often it was edited. */
export function linesOf(ops: readonly FileOp[], timeZone: string): Line[] {
  const records = new Map<string, FileOp[]>();
  for (const op of ops) records.set(op.id, [...(records.get(op.id) ?? []), op]);
  const lines = new Map<string, Line>();
  for (const own of records.values()) {
    const line = lineOf(own, timeZone);
    const key = [line.what, line.day, line.who].join('|');
    lines.set(key, { ...line, n: (lines.get(key)?.n ?? 0) + 1 });
  }
  return [...lines.values()].sort((a, b) => b.day.localeCompare(a.day) || a.what.localeCompare(b.what));
}

function lineOf(ops: readonly FileOp[], timeZone: string): Line {
  const set = Object.assign({}, ...ops.map((op) => op.set ?? {})) as Record<string, unknown>;
  const made = ops.find((op) => op.base_rev === 0 && op.kind === 'put');
  const what = ops.at(-1)?.kind === 'del' ? 'gone' : made ? (made.type ?? 'change') : 'change';
  const at = Date.parse(text(set.observed_at));
  return {
    what,
    day: Number.isNaN(at) ? '' : localDay(new Date(at), timeZone),
    who: text(set.observer),
    n: 1,
  };
}
