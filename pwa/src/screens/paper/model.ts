/** A sheet of paper for a round, traps or thermometers: its rows, its pages, and the address in its corner. Pure. */
import { inWalkingOrder, isRetired, type Station } from '../plot/model';

export const SHEET_KINDS = ['dawn', 'trap', 'readings'] as const;
export type SheetKind = (typeof SHEET_KINDS)[number];
export const PAPERS = ['a4', 'a5'] as const;
export type Paper = (typeof PAPERS)[number];

const STATIONS_OF: Record<SheetKind, readonly string[]> = {
  dawn: ['slug_board'],
  trap: ['bait_trap', 'beetle_trap'],
  readings: ['thermometer', 'grass_minimum'],
};

export interface SheetRow {
  id: string;
  label: string;
  place: string;
  /** Its number is one of click beetles, not of wireworms. */
  beetles?: true;
}

/** What is walked to on `day` (today's stations where the day is left open), in walking order. */
export function rowsOf(
  kind: SheetKind,
  stations: readonly Station[],
  places: ReadonlyMap<string, string>,
  day: string,
): SheetRow[] {
  const here = stations.filter(
    (station) => STATIONS_OF[kind].includes(station.kind ?? '') && !isRetired(station, day),
  );
  return inWalkingOrder(here).map((station) => ({
    id: station.id,
    label: station.label ?? '',
    place: places.get(station.place_id ?? '') ?? '',
    ...(station.kind === 'beetle_trap' ? { beetles: true as const } : {}),
  }));
}

/** What the number of a trap sheet's rows is one of. */
export function caughtOn(rows: readonly Pick<SheetRow, 'beetles'>[]): 'wireworms' | 'beetles' | 'both' {
  const n = rows.filter(({ beetles }) => beetles).length;
  if (n === 0) return 'wireworms';
  return n === rows.length ? 'beetles' : 'both';
}

/**
 * Rows that fit on a page, by the heights in style.css: A4 277 mm inside its margins less 57 of head and foot, in
 * rows of 8.4 mm; A5 194 mm less 60, in rows of 8.8 mm. A wet pencil needs about 8 mm; no source.
 */
export const ROWS_ON: Record<Paper, number> = { a4: 26, a5: 15 };

/** The rows page by page, as even as they go: 16 rows on A5 are 8 and 8, not 15 and 1. */
export function pagesOf(rows: readonly SheetRow[], paper: Paper): SheetRow[][] {
  const n = Math.max(1, Math.ceil(rows.length / ROWS_ON[paper]));
  const most = Math.ceil(rows.length / n);
  return Array.from({ length: n }, (_, page) => rows.slice(page * most, (page + 1) * most));
}

/** Few rows are given more height: a wet hand is grateful for each millimetre. */
export function isRoomy(rows: readonly SheetRow[], paper: Paper): boolean {
  return rows.length <= ROWS_ON[paper] / 2;
}

/** What a sheet's square code says: which plot, which sheet, for which day. */
export interface SheetAddress {
  plot_id: string;
  kind: SheetKind;
  /** Absent on a sheet whose day is left open. */
  day?: string;
  /** Tells whether the stations and their order are still those of the print. */
  order: string;
}

/** FNV-1a over the ids (Fowler, Noll, Vo; IETF draft-eastlake-fnv), six hex digits: it only has to notice a change. */
export function orderMark(rows: readonly { id: string }[]): string {
  let hash = 0x811c9dc5;
  for (const char of rows.map((row) => row.id).join(' ')) {
    hash = Math.imul(hash ^ char.charCodeAt(0), 0x01000193) >>> 0;
  }
  return hash.toString(16).padStart(8, '0').slice(0, 6);
}

export function keyingPath({ plot_id, kind, day, order }: SheetAddress): string {
  return `/paper/key?k=${kind}${day ? `&d=${day}` : ''}&o=${order}&p=${plot_id}`;
}

/** The sheet that an address names; undefined for one that is none of ours. */
export function readAddress(search: string): SheetAddress | undefined {
  const asked = new URLSearchParams(search);
  const kind = asked.get('k');
  const day = asked.get('d');
  const known = SHEET_KINDS.find((one) => one === kind);
  if (!known || (day !== null && !isDay(day))) return undefined;
  return {
    plot_id: asked.get('p') ?? '',
    kind: known,
    ...(day ? { day } : {}),
    order: asked.get('o') ?? '',
  };
}

/** A date that the calendar has: 2026-02-30 has none. */
export function isDay(text: string): boolean {
  if (!/^\d{4}-\d\d-\d\d$/.test(text)) return false;
  const at = Date.parse(`${text}T00:00:00Z`);
  return !Number.isNaN(at) && new Date(at).toISOString().startsWith(text);
}
