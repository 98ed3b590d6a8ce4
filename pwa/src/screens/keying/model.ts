/** A filled sheet while it is keyed in: its columns, what the cells say, the sum, and what is still wrong. Pure. */
import { numberOf } from '../forms/typed_number';
import { isDay, type SheetKind, type SheetRow } from '../paper/model';

/** `main` is the number or one of the three marks in its place; `flag` is a tick. */
export type ColumnKind = 'main' | 'whole' | 'degrees' | 'flag';
export interface Column {
  name: string;
  kind: ColumnKind;
}

export const COLUMNS: Record<SheetKind, readonly Column[]> = {
  dawn: [
    { name: 'count', kind: 'main' },
    { name: 'eggs', kind: 'whole' },
  ],
  trap: [
    { name: 'count', kind: 'main' },
    { name: 'millipedes', kind: 'whole' },
    { name: 'leatherjackets', kind: 'whole' },
    { name: 'centipedes', kind: 'whole' },
    { name: 'rebaited', kind: 'flag' },
    { name: 'soil', kind: 'degrees' },
  ],
  readings: [
    { name: 'current', kind: 'degrees' },
    { name: 'max', kind: 'degrees' },
    { name: 'min', kind: 'degrees' },
    { name: 'reset_done', kind: 'flag' },
  ],
};

/** The letters that stand for the three marks beside a number, as they are typed. */
export const MARKS = { n: 'none_found', x: 'not_turned', s: 'spoiled' } as const;
export type Mark = keyof typeof MARKS;

export function isMark(text: string): text is Mark {
  return text in MARKS;
}

export interface Cell {
  row: string;
  col: string;
}

/** Everything typed so far; kept on the phone at every key. */
export interface Keyed {
  day: string;
  clock: string;
  observer: string;
  surface?: 'dry' | 'damp' | 'wet' | undefined;
  night_low: string;
  disturbed: boolean;
  /** The sum as it is written on the sheet. */
  sum: string;
  /** Texts by cell (cellKey); an absent one is an empty box. */
  cells: Record<string, string>;
  at: Cell | undefined;
  /** The next figure begins the cell anew. */
  fresh: boolean;
  undo: { cell: Cell; before: string }[];
  /** Ids of the records to be: made once, so that saving twice is saving once. */
  ids?: Record<string, string>;
}

export function blankSheet(day: string | undefined): Keyed {
  return {
    day: day ?? '',
    clock: '',
    observer: '',
    night_low: '',
    disturbed: false,
    sum: '',
    cells: {},
    at: undefined,
    fresh: true,
    undo: [],
  };
}

export const cellKey = ({ row, col }: Cell): string => `${row}/${col}`;

export function textIn(keyed: Pick<Keyed, 'cells'>, row: string, col: string): string {
  return keyed.cells[cellKey({ row, col })] ?? '';
}

export type RowState = 'counted' | 'none_found' | 'not_turned' | 'spoiled';
export interface RowSays {
  state: RowState;
  /** Only where somebody could look. */
  count?: number;
}

/** What a row's number or mark says; undefined for an empty one, which is no record at all. */
export function rowSays(keyed: Pick<Keyed, 'cells'>, row: string): RowSays | undefined {
  const text = textIn(keyed, row, 'count');
  if (text === '') return undefined;
  if (isMark(text)) return text === 'n' ? { state: 'none_found', count: 0 } : { state: MARKS[text] };
  const count = Number(text);
  return { state: count === 0 ? 'none_found' : 'counted', count };
}

/** A row in which anything is typed. */
export function isTouched(keyed: Pick<Keyed, 'cells'>, kind: SheetKind, row: string): boolean {
  return COLUMNS[kind].some(({ name }) => textIn(keyed, row, name) !== '');
}

export interface Tally {
  /** All numbers, whatever they are of: what the sum on the sheet is held against. */
  total: number;
  /** Those of click beetles among them. */
  beetles: { total: number; n: number };
  n_rows: number;
  n_numbers: number;
  n_unturned: number;
  n_empty: number;
  /** The written sum, once it is a number. */
  written: number | undefined;
  /** Keyed less written. */
  difference: number | undefined;
}

export function tallyOf(
  keyed: Keyed,
  kind: SheetKind,
  rows: readonly Pick<SheetRow, 'id' | 'beetles'>[],
): Tally {
  const says = rows.map((row) => rowSays(keyed, row.id));
  const numbers = says.flatMap((one) => (one?.count === undefined ? [] : [one.count]));
  const total = sumOf(numbers);
  const beetles = rows.flatMap(({ id, beetles }) => (beetles ? (rowSays(keyed, id)?.count ?? []) : []));
  const written = wholeOf(keyed.sum);
  return {
    total,
    beetles: { total: sumOf(beetles), n: beetles.length },
    n_rows: rows.length,
    n_numbers: numbers.length,
    n_unturned: says.filter((one) => one?.state === 'not_turned' || one?.state === 'spoiled').length,
    n_empty: rows.filter((row) => !isTouched(keyed, kind, row.id)).length,
    written,
    difference: written === undefined ? undefined : total - written,
  };
}

const sumOf = (numbers: readonly number[]): number => numbers.reduce((sum, n) => sum + n, 0);

function wholeOf(text: string): number | undefined {
  return /^\d{1,6}$/.test(text.trim()) ? Number(text) : undefined;
}

export type Fault =
  | 'day'
  | 'future'
  | 'clock'
  | 'observer'
  | 'night_low'
  | 'sum'
  | 'empty'
  | 'half'
  | 'degrees';

/** What keeps the sheet from being saved, first things first. `now`: day and clock of the plot. */
export function faultsOf(
  keyed: Keyed,
  kind: SheetKind,
  rows: readonly { id: string }[],
  now: { day: string; clock: string },
): Fault[] {
  const faults: Fault[] = [];
  if (!isDay(keyed.day)) faults.push('day');
  if (!/^\d\d:\d\d$/.test(keyed.clock)) faults.push('clock');
  const moment = `${keyed.day} ${keyed.clock}`;
  if (faults.length === 0 && moment > `${now.day} ${now.clock}`) faults.push('future');
  if (keyed.observer.trim() === '') faults.push('observer');
  if (keyed.night_low.trim() !== '' && numberOf(keyed.night_low) === undefined) faults.push('night_low');
  if (keyed.sum.trim() !== '' && wholeOf(keyed.sum) === undefined) faults.push('sum');
  const touched = rows.filter((row) => isTouched(keyed, kind, row.id));
  if (touched.length === 0) faults.push('empty');
  if (touched.some((row) => isHalf(keyed, kind, row.id))) faults.push('half');
  if (touched.some((row) => hasBadDegrees(keyed, kind, row.id))) faults.push('degrees');
  return faults;
}

/** Eggs without a count, a tick without a reading: nobody can say what was seen there. */
export function isHalf(keyed: Keyed, kind: SheetKind, row: string): boolean {
  if (!isTouched(keyed, kind, row)) return false;
  if (kind !== 'readings') return rowSays(keyed, row) === undefined;
  return ['current', 'max', 'min'].every((col) => textIn(keyed, row, col) === '');
}

function hasBadDegrees(keyed: Keyed, kind: SheetKind, row: string): boolean {
  return COLUMNS[kind].some(({ name, kind: of }) => {
    const text = textIn(keyed, row, name);
    return of === 'degrees' && text !== '' && numberOf(text) === undefined;
  });
}
