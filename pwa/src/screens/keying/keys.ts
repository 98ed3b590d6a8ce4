/** What a key does while a sheet is keyed in: figures, marks, Enter, arrows, undo. Pure. */
import type { SheetKind } from '../paper/model';
import {
  type Cell,
  COLUMNS,
  type Column,
  type ColumnKind,
  cellKey,
  isMark,
  type Keyed,
  textIn,
} from './model';

/** Cells that can be taken back; a sheet has at most a few hundred. */
const UNDO_KEPT = 200;

export interface Grid {
  kind: SheetKind;
  /** Station ids in walking order. */
  rows: readonly string[];
}

/** Where Enter goes along a row: to the next board at once, or from reading to reading. */
const ENTER: Record<SheetKind, readonly string[]> = {
  dawn: ['count'],
  trap: ['count'],
  readings: ['current', 'max', 'min'],
};

export function firstCell({ kind, rows }: Grid): Cell | undefined {
  const [row] = rows;
  return row === undefined ? undefined : { row, col: COLUMNS[kind][0]?.name ?? '' };
}

/** A key by the browser's name for it, or `undo`. Undefined when it means nothing here. */
export function press(keyed: Keyed, key: string, grid: Grid): Keyed | undefined {
  if (key === 'undo') return undone(keyed);
  const at = keyed.at ?? firstCell(grid);
  if (!at) return undefined;
  const moved = move(at, key, grid);
  if (moved !== undefined) return { ...keyed, at: moved ?? undefined, fresh: true };
  return mark(keyed, at, key.toLowerCase(), grid) ?? typed(keyed, at, key, grid);
}

/** Null: past the last cell. Undefined: the key moves nothing. */
function move(at: Cell, key: string, grid: Grid): Cell | null | undefined {
  const cols = COLUMNS[grid.kind].map(({ name }) => name);
  const row = grid.rows.indexOf(at.row);
  const col = cols.indexOf(at.col);
  const to = (r: number, c: number): Cell => ({
    row: grid.rows[Math.min(grid.rows.length - 1, Math.max(0, r))] ?? at.row,
    col: cols[Math.min(cols.length - 1, Math.max(0, c))] ?? at.col,
  });
  switch (key) {
    case 'Enter':
      return next(at, grid);
    case 'ArrowDown':
      return to(row + 1, col);
    case 'ArrowUp':
      return to(row - 1, col);
    case 'ArrowRight':
      return to(row, col + 1);
    case 'ArrowLeft':
      return to(row, col - 1);
    case 'Home':
      return to(0, col);
    case 'End':
      return to(grid.rows.length - 1, col);
    default:
      return undefined;
  }
}

function next(at: Cell, grid: Grid): Cell | null {
  const order = ENTER[grid.kind];
  const along = order.indexOf(at.col);
  if (along >= 0 && along + 1 < order.length) return { row: at.row, col: order[along + 1] ?? at.col };
  const row = grid.rows[grid.rows.indexOf(at.row) + 1];
  return row === undefined ? null : { row, col: order[0] ?? at.col };
}

/** n, x, s: the row's mark, wherever in the row one stands, and on to the next. y: the row's tick. */
function mark(keyed: Keyed, at: Cell, key: string, grid: Grid): Keyed | undefined {
  const col = (kind: ColumnKind): string | undefined =>
    COLUMNS[grid.kind].find((one) => one.kind === kind)?.name;
  if (isMark(key)) {
    const main = col('main');
    if (main === undefined) return undefined;
    const cell = { row: at.row, col: main };
    const on = next(cell, grid);
    return { ...written({ ...keyed, fresh: true }, cell, key), at: on ?? undefined, fresh: true };
  }
  if (key !== 'y' && key !== ' ') return undefined;
  const flag = col('flag');
  if (flag === undefined) return undefined;
  const cell = { row: at.row, col: flag };
  const now = textIn(keyed, at.row, flag);
  return { ...written({ ...keyed, fresh: true }, cell, now === 'y' ? '' : 'y'), at, fresh: true };
}

function typed(keyed: Keyed, at: Cell, key: string, grid: Grid): Keyed | undefined {
  const column = COLUMNS[grid.kind].find(({ name }) => name === at.col);
  if (!column || column.kind === 'flag') return undefined;
  const now = textIn(keyed, at.row, at.col);
  const text = afterKey(column, keyed.fresh || isMark(now) ? '' : now, now, key);
  if (text === undefined) return undefined;
  return { ...written(keyed, at, text), at, fresh: false };
}

/** `begun`: what a further figure is added to; `now`: what stands there, from which figures are taken away. */
function afterKey(column: Column, begun: string, now: string, key: string): string | undefined {
  if (key === 'Backspace') return isMark(now) ? '' : now.slice(0, -1);
  if (key === 'Delete') return '';
  if (/^\d$/.test(key)) return withFigure(column, begun, key);
  if (column.kind !== 'degrees') return undefined;
  if (key === '-' || key === '\u2212') return begun.startsWith('-') ? begun.slice(1) : `-${begun}`;
  if (key !== '.' && key !== ',') return undefined;
  if (begun.includes('.')) return begun;
  return begun === '' || begun === '-' ? `${begun}0.` : `${begun}.`;
}

function withFigure(column: Column, begun: string, figure: string): string {
  if (begun === '0' || begun === '-0') return begun.replace('0', figure);
  const most = column.kind === 'degrees' ? 5 : 4;
  return begun.replace(/[-.]/g, '').length >= most ? begun : begun + figure;
}

/** The cell with a new text. Figures typed one after the other are taken back together. */
function written(keyed: Keyed, cell: Cell, text: string): Keyed {
  const key = cellKey(cell);
  const { [key]: before = '', ...rest } = keyed.cells;
  if (before === text) return keyed;
  const last = keyed.undo.at(-1);
  const goesOn = !keyed.fresh && last !== undefined && cellKey(last.cell) === key;
  const undo = goesOn ? keyed.undo : [...keyed.undo, { cell, before }].slice(-UNDO_KEPT);
  return { ...keyed, cells: text === '' ? rest : { ...rest, [key]: text }, undo };
}

/** The last cell as it was before; the cursor goes back to it. */
function undone(keyed: Keyed): Keyed | undefined {
  const last = keyed.undo.at(-1);
  if (!last) return undefined;
  const key = cellKey(last.cell);
  const { [key]: _gone, ...rest } = keyed.cells;
  const cells = last.before === '' ? rest : { ...rest, [key]: last.before };
  return { ...keyed, cells, undo: keyed.undo.slice(0, -1), at: last.cell, fresh: true };
}
