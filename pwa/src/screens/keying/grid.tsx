import { useEffect, useRef } from 'preact/hooks';
import { t } from '../../text';
import { caughtOn, type SheetKind, type SheetRow } from '../paper/model';
import { type Cell, COLUMNS, type Column, isMark, type Keyed, textIn } from './model';

type Props = {
  kind: SheetKind;
  rows: readonly SheetRow[];
  keyed: Keyed;
  unit: string;
  /** Whether the key meant something here. */
  onKey: (key: string) => boolean;
  onCell: (at: Cell) => void;
};

/** The rows of the sheet. One cell takes the focus of the whole; arrows and Enter go on from there. */
export function KeyGrid({ kind, rows, keyed, unit, onKey, onCell }: Props) {
  const table = useRef<HTMLTableElement>(null);
  const { at } = keyed;
  useEffect(() => {
    const cell = table.current?.querySelector<HTMLElement>('[data-at]');
    if (!at || !cell) return;
    if (table.current?.contains(document.activeElement)) cell.focus({ preventScroll: true });
    cell.scrollIntoView({ block: 'center', inline: 'nearest' });
  }, [at?.row, at?.col]);
  const onKeyDown = (event: KeyboardEvent): void => {
    const undo = event.key === 'u' || ((event.ctrlKey || event.metaKey) && event.key === 'z');
    if (!undo && (event.ctrlKey || event.metaKey || event.altKey)) return;
    if (onKey(undo ? 'undo' : event.key)) event.preventDefault();
  };
  const first = rows[0]?.id;
  return (
    <div class="key-frame">
      <table ref={table} class={`key-grid key-grid-${kind}`} onKeyDown={onKeyDown}>
        <thead>
          <tr>
            <th scope="col">{t(`keying.station_${kind}`)}</th>
            {COLUMNS[kind].map((column) => (
              <th key={column.name} scope="col">
                {columnWords(kind, column, unit, rows)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.id} class={at?.row === row.id ? 'key-row-at' : ''}>
              <th scope="row">
                {row.label}
                {kind === 'trap' && row.beetles && <small class="key-of">{t('keying.col_beetles')}</small>}
              </th>
              {COLUMNS[kind].map((column, i) => {
                const here = at?.row === row.id && at.col === column.name;
                const entry = !at && row.id === first && i === 0;
                return (
                  <td key={column.name}>
                    <button
                      type="button"
                      class={`key-cell key-cell-${column.kind}`}
                      tabIndex={here || entry ? 0 : -1}
                      data-at={here ? '' : undefined}
                      aria-current={here ? 'true' : undefined}
                      aria-label={cellWords(row, kind, column, unit, keyed)}
                      onClick={() => onCell({ row: row.id, col: column.name })}
                    >
                      {shown(keyed, row.id, column)}
                    </button>
                  </td>
                );
              })}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** For those who listen: without the places where a word may be broken on the screen. */
function cellWords(row: SheetRow, kind: SheetKind, column: Column, unit: string, keyed: Keyed): string {
  const of = columnWords(kind, column, unit, [row]).replaceAll('\u00ad', '');
  return `${row.label}, ${of}: ${spoken(keyed, row.id, column)}`;
}

/** The head of a column over all rows; of one row alone what its own number is of. */
function columnWords(kind: SheetKind, { name }: Column, unit: string, rows: readonly SheetRow[]): string {
  if (kind === 'trap' && name === 'count') return t(`keying.col_${caughtOn(rows)}`);
  return t(`keying.col_${name}` as 'keying.col_count', { unit });
}

function shown(keyed: Keyed, row: string, column: Column): string {
  const text = textIn(keyed, row, column.name);
  if (column.kind === 'flag') return text === 'y' ? '✓' : '';
  return isMark(text) ? t(`keying.mark_${text}`) : text.replace('-', '\u2212');
}

function spoken(keyed: Keyed, row: string, column: Column): string {
  const text = textIn(keyed, row, column.name);
  if (column.kind === 'flag') return text === 'y' ? t('parts.yes') : t('parts.no');
  return text === '' ? t('keying.empty') : shown(keyed, row, column);
}
