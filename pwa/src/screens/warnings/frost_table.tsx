import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import type { WarningPage } from './model';
import { chanceWords, degreeWords } from './numbers';
import { type CropRow, cropRows } from './worst';

type Props = {
  numbers: Record<string, unknown> | undefined;
  data: Pick<WarningPage, 'places'>;
  facts: PlotFacts;
};

/** Every crop at every place: its line of harm, the lowest to expect there, the chance. */
export function FrostTable({ numbers, data, facts }: Props) {
  const rows = cropRows(numbers);
  if (rows.length === 0) return null;
  return (
    <div class="table-frame">
      <table class="warning-table figures">
        <caption>{t('warnings.crops_caption')}</caption>
        <thead>
          <tr>
            <th scope="col">{t('warnings.col_crop')}</th>
            <th scope="col">{t('warnings.col_chance')}</th>
            <th scope="col">{t('warnings.col_lowest')}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={`${row.place_id}${row.crop_id}${row.kind}`}>
              <th scope="row">
                {row.kind}
                <span class="warning-line">
                  {(row.place_id && data.places.get(row.place_id)) || t('warnings.in_the_open')}
                </span>
              </th>
              <td>{row.p === undefined ? '–' : chanceWords(row.p)}</td>
              <td>
                {degreeWords(row.min_c, facts.unit)}
                <span class="warning-line">{rangeWords(row, facts)}</span>
                <span class="warning-line">
                  {row.line_c === undefined
                    ? t('warnings.line_unknown')
                    : t('warnings.night_line', { line: degreeWords(row.line_c, facts.unit) })}
                </span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function rangeWords(row: CropRow, facts: PlotFacts): string {
  if (row.low_c === undefined || row.high_c === undefined) return '';
  return t('warnings.to', {
    low: degreeWords(row.low_c, facts.unit),
    high: degreeWords(row.high_c, facts.unit),
  });
}
