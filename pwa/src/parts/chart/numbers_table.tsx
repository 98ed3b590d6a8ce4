import { useState } from 'preact/hooks';
import { decimals, t } from '../../text';
import { Button } from '../button';
import { dateWords } from './axis';
import type { Cell, Column, Numbers } from './numbers';

const A_PAGE = 120;

/** The numbers of a picture, drawn only once they are asked for; long ones page by page. */
export function NumbersTable({ numbers }: { numbers: Numbers }) {
  const [open, setOpen] = useState(false);
  const [most, setMost] = useState(A_PAGE);
  const shown = numbers.columns.flatMap((column, i) => (column.head === undefined ? [] : [{ ...column, i }]));
  return (
    <details class="findings-more" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{t('pictures.table')}</summary>
      {open && (
        <div class="table-frame">
          <table class="numbers-table figures">
            <thead>
              <tr>
                {shown.map(({ file, head }) => (
                  <th key={file} scope="col">
                    {head}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {numbers.rows.slice(0, most).map((row, n) => (
                <tr key={n} class={numbers.doubtful?.has(n) ? 'row-doubtful' : ''}>
                  {shown.map((column, at) =>
                    at === 0 ? (
                      <th key={column.file} scope="row">
                        {words(row[column.i] ?? null, column)}
                      </th>
                    ) : (
                      <td key={column.file}>{words(row[column.i] ?? null, column)}</td>
                    ),
                  )}
                </tr>
              ))}
            </tbody>
          </table>
          {numbers.rows.length > most && (
            <Button wide onClick={() => setMost(most + A_PAGE * 4)}>
              {t('pictures.more_rows', { n: numbers.rows.length - most })}
            </Button>
          )}
        </div>
      )}
    </details>
  );
}

function words(cell: Cell, { places = 0, day = false }: Column): string {
  if (cell === null) return '–';
  if (day && typeof cell === 'string') return dateWords(cell);
  return typeof cell === 'number' ? decimals(cell, places) : cell;
}
