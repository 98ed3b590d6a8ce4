/** The diary: everything recorded, newest day first, and what may be edited in each kind of record. Pure. */
import { allKept, type CountLike, numberOn, standing } from '../../domain/double_counts';
import { localDay } from '../forms/local_time';

export interface DiaryView {
  id: string;
  type: string;
  body: Record<string, unknown>;
  /** Number of the state the server has; 0 before it has one. */
  rev?: number;
  deleted?: boolean;
  pending?: boolean;
  conflicts?: readonly unknown[];
  needs_fix?: unknown;
  deleted_elsewhere?: boolean;
  /** Sent by a phone whose clock was far from the server's. */
  clock_suspect?: boolean;
  changed_elsewhere?: boolean;
}

export const GROUPS = ['rounds', 'traps', 'temperatures', 'treatments', 'crops', 'notes'] as const;
export type Group = (typeof GROUPS)[number];

const GROUP_OF: Record<string, Group> = {
  round: 'rounds',
  slug_count: 'rounds',
  trap_catch: 'traps',
  soil_sample: 'traps',
  temperature: 'temperatures',
  evening: 'temperatures',
  treatment: 'treatments',
  culture: 'treatments',
  crop: 'crops',
  crop_event: 'crops',
  damage: 'crops',
  note: 'notes',
};
export const DIARY_TYPES = Object.keys(GROUP_OF);

export type Standing =
  | 'clean'
  | 'clock'
  | 'pending'
  | 'conflict'
  | 'needs_fix'
  | 'deleted_elsewhere'
  | 'changed_elsewhere';

/** The one thing to say about a record, the most urgent first. */
export function standingOf(view: DiaryView): Standing {
  if (view.needs_fix) return 'needs_fix';
  if ((view.conflicts?.length ?? 0) > 0) return 'conflict';
  if (view.deleted_elsewhere) return 'deleted_elsewhere';
  if (view.changed_elsewhere) return 'changed_elsewhere';
  if (view.pending) return 'pending';
  return isClockSuspect(view) ? 'clock' : 'clean';
}

/** A wrong clock matters where it said when something was seen. */
export function isClockSuspect({ clock_suspect, body }: DiaryView): boolean {
  return clock_suspect === true && typeof body.observed_at === 'string';
}

/** Sets that say of each record again when it was: sent by a phone whose clock is right, they take the mark away. */
export function timesAreRight(views: readonly DiaryView[]): { type: string; id: string; set: object }[] {
  return views
    .filter(isClockSuspect)
    .map(({ type, id, body }) => ({ type, id, set: { observed_at: body.observed_at } }));
}

export interface RoundTally {
  n_counted: number;
  n_none: number;
  n_missed: number;
  total: number;
  n_disputed: number;
  /** Counted twice, and a person said that both are kept: in no total either, but nothing to settle. */
  n_kept: number;
}
export interface Entry {
  view: DiaryView;
  group: Group;
  at: string;
  standing: Standing;
  /** Counts of a round, told in one line and opened by a tap. */
  counts: DiaryView[];
  tally?: RoundTally;
  /** Readings or traps of one walk, told in one entry that opens to them; `view` is the first of them. */
  parts?: DiaryView[];
}
export interface Day {
  day: string;
  entries: Entry[];
}

/** When it happened: the observation's own time, for a crop its start, for an open trap the day it was set. */
export function momentOf(view: DiaryView): string | undefined {
  const { observed_at, started_at, set_at, started_on } = view.body;
  const at = observed_at ?? started_at ?? set_at ?? (started_on ? `${started_on}T12:00:00Z` : undefined);
  return typeof at === 'string' && !Number.isNaN(Date.parse(at)) ? at : undefined;
}

const URGENCY: readonly Standing[] = [
  'needs_fix',
  'conflict',
  'deleted_elsewhere',
  'changed_elsewhere',
  'pending',
  'clock',
  'clean',
];

export function worst(standings: readonly Standing[]): Standing {
  return URGENCY.find((standing) => standings.includes(standing)) ?? 'clean';
}

/** Totals of a round. A board counted twice is disputed, and in no total, until somebody says which stands. */
export function tallyOf(counts: readonly DiaryView[]): RoundTally {
  const boards = new Map<unknown, DiaryView[]>();
  for (const count of counts) {
    const of = boards.get(count.body.station_id);
    if (of) of.push(count);
    else boards.set(count.body.station_id, [count]);
  }
  const tally: RoundTally = { n_counted: 0, n_none: 0, n_missed: 0, total: 0, n_disputed: 0, n_kept: 0 };
  for (const of of boards.values()) {
    const { one, double } = standing(of as (DiaryView & { body: CountLike })[]);
    const number = one && numberOn(one.body);
    if (double && allKept(of.map((view) => view.body as CountLike))) tally.n_kept += 1;
    else if (double) tally.n_disputed += 1;
    else if (one && number === undefined) tally.n_missed += 1;
    else if (number === 0) tally.n_none += 1;
    else if (number !== undefined) {
      tally.n_counted += 1;
      tally.total += number;
    }
  }
  return tally;
}

/** Local days, newest first; within a day the latest first. Counts appear under their round. */
export function timeline(views: readonly DiaryView[], timeZone: string, shown: ReadonlySet<Group>): Day[] {
  const live = views.filter((view) => !view.deleted || !['clean', 'clock'].includes(standingOf(view)));
  const rounds = new Set(live.filter((view) => view.type === 'round').map((view) => view.id));
  const counts = new Map<string, DiaryView[]>();
  const days = new Map<string, Entry[]>();
  for (const view of live) {
    const round = view.type === 'slug_count' ? view.body.round_id : undefined;
    if (typeof round === 'string' && rounds.has(round))
      counts.set(round, [...(counts.get(round) ?? []), view]);
  }
  for (const view of live) {
    const group = GROUP_OF[view.type];
    const at = momentOf(view);
    const under = view.type === 'slug_count' && rounds.has(String(view.body.round_id));
    if (!group || !at || under || !shown.has(group)) continue;
    const own = counts.get(view.id) ?? [];
    const standing = worst([standingOf(view), ...own.map(standingOf)]);
    const entry: Entry = {
      view,
      group,
      at,
      standing,
      counts: own,
      ...(own.length > 0 ? { tally: tallyOf(own) } : {}),
    };
    const day = localDay(at, timeZone);
    days.set(day, [...(days.get(day) ?? []), entry]);
  }
  return [...days.entries()]
    .sort(([a], [b]) => b.localeCompare(a))
    .map(([day, entries]) => ({ day, entries: entries.sort((a, b) => Date.parse(b.at) - Date.parse(a.at)) }));
}
