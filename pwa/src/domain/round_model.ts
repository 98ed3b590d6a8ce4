/** A round as planks in walking order: what each board says, what a tap writes, where to go next. Pure. */
import type { SlugCount } from '../generated/api';
import { allKept, numberOn, standing } from './double_counts';

export interface Board {
  id: string;
  label: string;
  place_id: string | undefined;
  place: string;
  walk_order: number;
}

export interface CountView {
  id: string;
  body: SlugCount;
  base?: { rev: number; epoch: string };
  conflicts: readonly unknown[];
  /** Absent until a server has seen it. */
  created_by_device?: string;
}

/** Who counts here: the person and the phone. Two people may share a name, and one phone two people. */
export interface Counter {
  observer: string;
  device_id: string | undefined;
}

/** Only a person's own count, made on this phone, is edited by a tap; anybody else's is left as it is. */
export function isMine(count: CountView, me: Counter): boolean {
  if ((count.body.observer ?? '') !== me.observer) return false;
  return (
    count.created_by_device === undefined ||
    me.device_id === undefined ||
    count.created_by_device === me.device_id
  );
}

/** `todo` is no record at all, which is none of the four states a record can be in. */
export type PlankState = 'todo' | 'counted' | 'none_found' | 'not_turned' | 'spoiled';

export interface Plank {
  board: Board;
  /** This person's own count of the board in this round. */
  mine: CountView | undefined;
  others: CountView[];
  state: PlankState;
  /** What stands, undefined when nothing does yet or two people disagree. */
  number: number | undefined;
  eggs: number;
  double: boolean;
  /** A double count that a person left as it is: out of the mean, and not to be settled any more. */
  kept: boolean;
  disputed: boolean;
}

export function planksOf(boards: readonly Board[], counts: readonly CountView[], me: Counter): Plank[] {
  const of = new Map<string, CountView[]>();
  for (const count of counts) {
    const board = count.body.station_id ?? '';
    of.set(board, [...(of.get(board) ?? []), count]);
  }
  return [...boards]
    .sort(
      (a, b) => a.walk_order - b.walk_order || a.label.localeCompare(b.label, undefined, { numeric: true }),
    )
    .map((board) => plankOf(board, of.get(board.id) ?? [], me));
}

function plankOf(board: Board, counts: CountView[], me: Counter): Plank {
  const { one, double } = standing(counts);
  const mine = counts.find((count) => isMine(count, me));
  const shown = one ?? mine;
  return {
    board,
    mine,
    others: counts.filter((count) => count !== mine),
    state: shown?.body.state ?? 'todo',
    number: one ? numberOn(one.body) : undefined,
    eggs: Math.max(0, ...counts.map((count) => count.body.egg_clusters ?? 0)),
    double,
    kept: double && allKept(counts.map((count) => count.body)),
    disputed: counts.some((count) => count.conflicts.length > 0),
  };
}

/** What one tap on the pad does to this person's count. */
export type Tap =
  | { kind: 'plus' }
  | { kind: 'minus' }
  | { kind: 'none' }
  | { kind: 'count'; count: number }
  | { kind: 'not_turned'; reason?: string }
  | { kind: 'spoiled'; reason?: string }
  | { kind: 'eggs'; by: 1 | -1 }
  | { kind: 'photo'; sha256: string; bytes: number };

/** Fields to write; null takes a field away. */
export type Written = { [F in keyof SlugCount]?: SlugCount[F] | null };

function counted(body: SlugCount | undefined, count: number): Written {
  return { state: count === 0 ? 'none_found' : 'counted', count, ...cleared(body, 'reason') };
}

/** A number no longer has a reason why there is none, and a board that was not turned has no number. */
function cleared(body: SlugCount | undefined, field: 'reason' | 'count'): Written {
  return body?.[field] === undefined || body[field] === null ? {} : { [field]: null };
}

/** The fields a tap writes. Undefined when it changes nothing (minus at none). */
export function afterTap(body: SlugCount | undefined, tap: Tap): Written | undefined {
  const now = numberOn(body ?? {}) ?? 0;
  switch (tap.kind) {
    case 'plus':
      return counted(body, Math.min(9999, now + 1));
    case 'minus':
      return now === 0 ? undefined : counted(body, now - 1);
    case 'none':
      return counted(body, 0);
    case 'count':
      return counted(body, tap.count);
    case 'not_turned':
    case 'spoiled':
      return {
        state: tap.kind,
        ...(tap.reason ? { reason: tap.reason } : cleared(body, 'reason')),
        ...cleared(body, 'count'),
      };
    case 'eggs': {
      const eggs = Math.max(0, (body?.egg_clusters ?? 0) + tap.by);
      return body?.state ? { egg_clusters: eggs } : { ...counted(body, 0), egg_clusters: eggs };
    }
    case 'photo': {
      // A photo belongs to a count; before there is one it would have to invent a state.
      if (!body?.state) return undefined;
      return { photos: [...(body.photos ?? []), { sha256: tap.sha256, bytes: tap.bytes }] };
    }
  }
}

/** What takes a tap back: the fields as they were, or nothing when there was no record before. */
export function undoing(before: SlugCount | undefined, wrote: Written): Written | undefined {
  if (!before?.state) return undefined;
  const back: Record<string, unknown> = {};
  for (const field of Object.keys(wrote)) back[field] = before[field as keyof SlugCount] ?? null;
  return back as Written;
}

/** The next board without a record after this one, else the first one left behind, else none. */
export function nextTodo(planks: readonly Plank[], from: string | undefined): string | undefined {
  const at = planks.findIndex((plank) => plank.board.id === from);
  const ahead = [...planks.slice(at + 1), ...planks.slice(0, Math.max(at, 0))];
  return ahead.find((plank) => plank.state === 'todo')?.board.id;
}

export interface Progress {
  n_boards: number;
  n_done: number;
  n_missed: number;
  n_unturned: number;
  /** Double counts that wait for a person. */
  n_double: number;
  /** Double counts of which a person said that both are kept. */
  n_kept: number;
  /** One number a board, of boards where one stands and nothing is in dispute. */
  numbers: number[];
  total: number;
}

export function progressOf(planks: readonly Plank[]): Progress {
  const done = planks.filter((plank) => plank.state !== 'todo' || plank.double);
  const numbers = planks.flatMap((plank) =>
    plank.number !== undefined && !plank.disputed ? [plank.number] : [],
  );
  return {
    n_boards: planks.length,
    n_done: done.length,
    n_missed: planks.length - done.length,
    n_unturned: planks.filter((plank) => plank.state === 'not_turned' || plank.state === 'spoiled').length,
    n_double: planks.filter((plank) => plank.double && !plank.kept).length,
    n_kept: planks.filter((plank) => plank.kept).length,
    numbers,
    total: numbers.reduce((sum, number) => sum + number, 0),
  };
}

export interface HardPlace {
  place: string;
  mean: number;
  n: number;
}

/** Places by slugs a board, hardest first. */
export function hardestPlaces(planks: readonly Plank[], most = 3): HardPlace[] {
  const of = new Map<string, number[]>();
  for (const { board, number } of planks) {
    if (number !== undefined) of.set(board.place, [...(of.get(board.place) ?? []), number]);
  }
  return [...of]
    .map(([place, found]) => ({
      place,
      n: found.length,
      mean: found.reduce((a, b) => a + b, 0) / found.length,
    }))
    .filter(({ mean }) => mean > 0)
    .sort((a, b) => b.mean - a.mean)
    .slice(0, most);
}

/** Why a round should stay out of the means, as far as the person has told. */
export function whyNotValid(told: {
  surface?: string;
  disturbed?: boolean;
}): 'disturbed' | 'dry' | undefined {
  if (told.disturbed) return 'disturbed';
  return told.surface === 'dry' ? 'dry' : undefined;
}
