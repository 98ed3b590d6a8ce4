import { Card } from '../../parts';
import { useLive, type View } from '../../storage';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { CountPicture } from './count_picture';
import { FrostTable } from './frost_table';
import { LimitPicture } from './limit_picture';
import type { WarningPage } from './model';
import { nightFactsOf } from './night_facts';
import { NightPicture } from './night_picture';
import { numberRows, numberTables } from './numbers';

type Props = { data: WarningPage; view: View<'warning'>; facts: PlotFacts };

/** The picture of a warning where it has one, and always its numbers as a table. */
export function Picture({ data, view, facts }: Props) {
  const night = useLive(
    () => nightFactsOf(view, facts),
    ['evening', 'warning'],
    [view.id, view.rev, view.body.updated_at],
  );
  const { numbers } = view.body;
  const rows = numberRows(numbers, facts);
  const tables = night ? [] : numberTables(named(numbers, data), facts);
  if (!night && rows.length === 0 && tables.length === 0) return null;
  return (
    <Card title={t('warnings.numbers')} icon="findings">
      {night && <NightPicture night={night} facts={facts} />}
      <FrostTable numbers={numbers} data={data} facts={facts} />
      <CountPicture view={view} facts={facts} />
      <LimitPicture numbers={numbers} />
      {rows.length > 0 && <Rows rows={rows} folded={night !== undefined} />}
      {tables.map((table) => (
        <div key={table.name} class="table-frame">
          <table class="warning-table figures">
            <caption>{table.name}</caption>
            <thead>
              <tr>
                {table.columns.map((column) => (
                  <th key={column} scope="col">
                    {column}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {table.rows.map((row) => (
                <tr key={row.join('|')}>
                  {row.map((cell, i) => (
                    <td key={table.columns[i]}>{cell}</td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      ))}
    </Card>
  );
}

function Rows({ rows, folded }: { rows: ReturnType<typeof numberRows>; folded: boolean }) {
  const table = (
    <div class="table-frame">
      <table class="warning-table figures">
        <thead class="only-heard">
          <tr>
            <th scope="col">{t('warnings.number')}</th>
            <th scope="col">{t('warnings.value')}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.name}>
              <th scope="row">{row.name}</th>
              <td>{row.value}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
  if (!folded) return table;
  return (
    <details class="fold">
      <summary>{t('warnings.all_numbers')}</summary>
      {table}
    </details>
  );
}

/** Places and crops by their names: ids say nothing to anybody. */
function named(numbers: Record<string, unknown> | undefined, data: WarningPage): Record<string, unknown> {
  const name = (row: unknown): unknown => {
    if (typeof row !== 'object' || row === null || Array.isArray(row)) return row;
    const { place_id, crop_id, ...rest } = row as Record<string, unknown>;
    return {
      ...(typeof place_id === 'string' ? { place: data.places.get(place_id) ?? '' } : {}),
      ...(typeof crop_id === 'string' ? { crop: data.crops.get(crop_id) ?? '' } : {}),
      ...rest,
    };
  };
  return Object.fromEntries(
    Object.entries(numbers ?? {}).map(([key, value]) => [
      key,
      Array.isArray(value) ? value.map(name) : value,
    ]),
  );
}
