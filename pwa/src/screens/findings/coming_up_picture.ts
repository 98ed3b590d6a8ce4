/** Sowings under each other on the days: sown, forecast, come up. Pure. */
import { dateWords } from '../../parts/chart/axis';
import type { Numbers } from '../../parts/chart/numbers';
import type { PictureRow, RowsPicture } from '../../parts/chart/picture';
import { t } from '../../text';
import type { ComingUp } from './coming_up';
import { dayMs } from './season_days';

const DAY = 86_400_000;

export function nameOf(row: ComingUp, label: ReadonlyMap<string, string>): string {
  return [row.kind, row.variety, row.place_id && label.get(row.place_id)].filter(Boolean).join(', ');
}

export function comingUpPicture(
  rows: readonly ComingUp[],
  label: ReadonlyMap<string, string>,
  today: string,
): RowsPicture {
  const days = rows.flatMap((row) =>
    [row.chitted_on, row.sown_on, row.came_up_on, row.forecast?.from, row.forecast?.to].flatMap((day) =>
      day === undefined ? [] : [dayMs(day)],
    ),
  );
  const from = Math.min(...days, dayMs(today));
  return {
    ...{
      kind: 'rows',
      name: 'coming-up',
      title: t('findings.coming_up'),
      axis: t('findings.axis_days'),
      x: 'day',
    },
    whole: { from: from - 2 * DAY, to: Math.max(...days, from + 14 * DAY) + 2 * DAY },
    rows: rows.map((row) => rowOf(row, label)),
    legend: [
      { label: t('findings.key_chitted'), tone: 'ink', shape: 'square', hollow: true },
      { label: t('findings.key_sown'), tone: 'ink', shape: 'triangle' },
      { label: t('findings.key_forecast'), tone: 'plank', sample: 'thick' },
      { label: t('findings.key_came_up'), tone: 'good', shape: 'diamond' },
    ],
  };
}

function rowOf(row: ComingUp, label: ReadonlyMap<string, string>): PictureRow {
  const { chitted_on, sown_on, came_up_on, forecast } = row;
  const start = sown_on ?? chitted_on;
  return {
    label: nameOf(row, label),
    value: besideOf(row),
    spans: [
      ...(chitted_on && sown_on
        ? [{ from: dayMs(chitted_on), to: dayMs(sown_on), tone: 'soft', dash: [2, 4] } as const]
        : []),
      ...(forecast
        ? [{ from: dayMs(forecast.from), to: dayMs(forecast.to), tone: 'plank', thick: true } as const]
        : []),
      ...(start && came_up_on ? [{ from: dayMs(start), to: dayMs(came_up_on), tone: 'good' } as const] : []),
    ],
    marks: [
      ...(chitted_on ? [{ at: dayMs(chitted_on), shape: 'square', tone: 'ink', hollow: true } as const] : []),
      ...(sown_on ? [{ at: dayMs(sown_on), shape: 'triangle', tone: 'ink' } as const] : []),
      ...(came_up_on ? [{ at: dayMs(came_up_on), shape: 'diamond', tone: 'good' } as const] : []),
    ],
  };
}

function besideOf(row: ComingUp): string {
  if (row.took !== undefined) return t('findings.took', { n: row.took });
  if (row.forecast)
    return t('findings.expected', { from: shortDay(row.forecast.from), to: shortDay(row.forecast.to) });
  return row.why_not ? t(`findings.why_${row.why_not}`) : t('findings.not_sown');
}

/** "12 May". */
export function shortDay(day: string): string {
  return dateWords(day).replace(/,?\s*\d{4}$/, '');
}

export function comingUpNumbers(rows: readonly ComingUp[], label: ReadonlyMap<string, string>): Numbers {
  return {
    columns: [
      { file: 'crop', head: t('findings.col_crop') },
      { file: 'chitted_on', head: t('findings.col_chitted'), day: true },
      { file: 'sown_or_planted_on', head: t('findings.col_sown'), day: true },
      { file: 'came_up_on', head: t('findings.col_came_up'), day: true },
      { file: 'days_to_come_up', head: t('findings.col_took') },
      { file: 'forecast_from', head: t('findings.col_forecast_from'), day: true },
      { file: 'forecast_to', head: t('findings.col_forecast_to'), day: true },
      { file: 'why_no_forecast' },
    ],
    rows: rows.map((row) => [
      ...[
        nameOf(row, label),
        row.chitted_on ?? null,
        row.sown_on ?? null,
        row.came_up_on ?? null,
        row.took ?? null,
      ],
      ...[
        row.forecast?.from ?? null,
        row.forecast?.to ?? null,
        row.why_not ? t(`findings.why_${row.why_not}`) : null,
      ],
    ]),
  };
}
