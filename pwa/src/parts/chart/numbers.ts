/** The numbers of a picture: the table under it, and its file of comma-separated values. Pure. */

export type Cell = string | number | null;
export interface Column {
  /** Name in the file, with the unit in it. */
  file: string;
  /** Head on the screen; absent: only in the file. */
  head?: string;
  /** Decimals on the screen. */
  places?: number;
  /** A local date, `2026-05-10`: in words on the screen. */
  day?: boolean;
  /** Not in the file, which has it in finer columns. */
  only_shown?: boolean;
}
export interface Numbers {
  columns: readonly Column[];
  rows: readonly (readonly Cell[])[];
  /** Rows that do not count in full, by index. */
  doubtful?: ReadonlySet<number>;
}

/** What a table program would take for a formula or a command begins like this (OWASP, "CSV Injection"). */
const FORMULA = /^[=+\-@\t\r\n|%]/;

function field(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return Number.isFinite(cell) ? String(Math.round(cell * 1e6) / 1e6) : '';
  const safe = FORMULA.test(cell) || FORMULA.test(cell.trimStart()) ? `'${cell}` : cell;
  return /[",\r\n;']/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** RFC 4180: commas, CR LF, quotes doubled; a mark in front says that it is UTF-8. Numbers have a point. */
export function csvOf({ columns, rows }: Numbers): string {
  const written = columns.flatMap((column, i) => (column.only_shown ? [] : [{ ...column, i }]));
  const lines = [
    written.map(({ file }) => field(file)),
    ...rows.map((row) => written.map(({ i }) => field(row[i] ?? null))),
  ];
  return `\ufeff${lines.map((line) => line.join(',')).join('\r\n')}\r\n`;
}
