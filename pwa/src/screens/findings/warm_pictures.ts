/** Temperatures and gathered warmth as pictures and as numbers. Pure; degrees as the plot reads them. */
import type { Numbers } from '../../parts/chart/numbers';
import type { Layer, TimePicture } from '../../parts/chart/picture';
import { t } from '../../text';
import { dayPlus, daysBetween } from '../forms/local_time';
import type { TemperatureUnit } from '../readings/model';
import type { HeatSum } from './heat_sums';
import { dayMs, seasonMs, YEAR_BEGIN, YEAR_END } from './season_days';
import { frostDays, type WarmDay } from './warm_days';

const DAY = 86_400_000;
const GAP = 4 * DAY;

/** °C as the plot's unit. */
export function shownIn(unit: TemperatureUnit, c: number): number {
  return unit === 'degF' ? c * 1.8 + 32 : c;
}

const shown = (unit: TemperatureUnit, values: readonly (number | null)[]): (number | null)[] =>
  values.map((value) => (value === null ? null : shownIn(unit, value)));

export function warmPicture(days: readonly WarmDay[], soil: boolean, unit: TemperatureUnit): TimePicture {
  const x = days.map((day) => dayMs(day.day));
  const [min, max, now] = (['min', 'max', 'now'] as const).map((field) =>
    shown(
      unit,
      days.map((day) => day[field]),
    ),
  );
  const all = [min, max, now].flatMap((values) => values ?? []).filter((value) => value !== null);
  const freezing = shownIn(unit, 0);
  const [first, last] = [x[0] ?? 0, x.at(-1) ?? 0];
  const read = now?.some((value) => value !== null) ? now : undefined;
  const frozen = frostDays(days).map((day) => dayMs(day.day));
  const both = days.flatMap((day, i) =>
    day.min !== null && day.max !== null && day.min <= day.max ? [i] : [],
  );
  const layers: Layer[] = [
    {
      ...{ kind: 'band', tone: 'plank', gap: GAP, x: both.map((i) => x[i] ?? 0) },
      ...{ low: both.map((i) => min?.[i] ?? null), high: both.map((i) => max?.[i] ?? null) },
    },
    lineOf(x, max ?? [], t('findings.key_max'), 'glow', [7, 4]),
    lineOf(x, min ?? [], t('findings.key_min'), 'ink'),
    ...(soil && read ? [lineOf(x, read, t('findings.key_now'), 'good', [2, 3])] : []),
    ...(soil
      ? []
      : [{ kind: 'level', label: t('findings.key_freezing'), y: freezing, tone: 'bad' } as const]),
    ...(frozen.length > 0 && !soil
      ? [{ kind: 'flags', label: t('findings.key_frost'), x: frozen, shape: 'star', tone: 'bad' } as const]
      : []),
  ];
  return {
    ...{
      kind: 'time',
      name: 'temperatures',
      title: t('findings.warmth'),
      axis: t(`findings.axis_${unit}`),
      x: 'day',
    },
    whole: { from: first - DAY, to: Math.max(last + DAY, first + 7 * DAY) },
    low: Math.min(...all, soil ? (all[0] ?? 0) : freezing),
    high: Math.max(...all, soil ? (all[0] ?? 1) : freezing + 1),
    layers: layers.filter((layer) => layer.kind !== 'line' || layer.y.some((value) => value !== null)),
  };
}

function lineOf(
  x: readonly number[],
  y: readonly (number | null)[],
  label: string,
  tone: 'glow' | 'ink' | 'good',
  dash?: readonly number[],
): Layer {
  const there = y.flatMap((value, i) => (value === null ? [] : [i]));
  return {
    ...{ kind: 'line', label, tone, gap: GAP, width: 1.8, ...(dash ? { dash } : {}) },
    ...{ x: there.map((i) => x[i] ?? 0), y: there.map((i) => y[i] ?? null) },
  };
}

/** Every day from the first to the last, so that a day nobody read is a row of its own and no nought. Newest first. */
export function warmNumbers(days: readonly WarmDay[], unit: TemperatureUnit): Numbers {
  const known = new Map(days.map((day) => [day.day, day]));
  const [first, last] = [days[0]?.day, days.at(-1)?.day];
  const all = first && last ? daysBetween(first, last) + 1 : 0;
  const cell = (value: number | null | undefined): number | null =>
    value === null || value === undefined ? null : Math.round(shownIn(unit, value) * 100) / 100;
  return {
    columns: [
      { file: 'day', head: t('findings.col_day'), day: true },
      { file: `min_${unit}`, head: t('findings.col_min'), places: 1 },
      { file: `max_${unit}`, head: t('findings.col_max'), places: 1 },
      { file: `shown_when_read_${unit}`, head: t('findings.col_now'), places: 1 },
      { file: 'state', head: t('findings.col_standing') },
    ],
    rows: Array.from({ length: all }, (_, i) => {
      const day = dayPlus(last ?? '', -i);
      const found = known.get(day);
      const state = found ? t(`findings.warm_${found.state}`) : t('findings.warm_no_reading');
      return [day, cell(found?.min), cell(found?.max), cell(found?.now), state];
    }),
  };
}

export interface HeatYear {
  year: number;
  sum: HeatSum;
}

/** Two years over each other; the band holds what the unread days may have been. */
export function heatPicture(
  one: HeatYear,
  other: HeatYear | undefined,
  base: string,
  unit: TemperatureUnit,
): TimePicture {
  const factor = unit === 'degF' ? 1.8 : 1;
  const layersOf = ({ year, sum }: HeatYear, own: boolean): Layer[] => {
    const x = sum.days.map((day) => seasonMs(day.day));
    const [low, high] = [sum.days.map((day) => day.low * factor), sum.days.map((day) => day.high * factor)];
    const y = low.map((value, i) => (value + (high[i] ?? value)) / 2);
    const label = String(year);
    return [
      ...(sum.n_missing > 0
        ? [
            {
              kind: 'band',
              x,
              low,
              high,
              tone: own ? 'plank' : 'glow',
              ...(own ? { label: t('findings.key_unread') } : {}),
            } as const,
          ]
        : []),
      own
        ? { kind: 'line', label, x, y, tone: 'ink', width: 2.6 }
        : { kind: 'line', label, x, y, tone: 'glow', width: 2, dash: [7, 4] },
    ];
  };
  const tops = [one, ...(other ? [other] : [])].map(({ sum }) => (sum.days.at(-1)?.high ?? 0) * factor);
  const ends = [one, ...(other ? [other] : [])].map(({ sum }) =>
    seasonMs(sum.days.at(-1)?.day ?? '2000-01-08'),
  );
  return {
    ...{ kind: 'time', name: 'degree-days', title: t('findings.heat'), x: 'season' },
    axis: t(`findings.axis_heat_${unit}`, { base }),
    whole: { from: YEAR_BEGIN, to: Math.min(YEAR_END, Math.max(...ends, YEAR_BEGIN + 14 * DAY)) },
    ...{ low: 0, high: Math.max(1, ...tops) },
    layers: [...(other ? layersOf(other, false) : []), ...layersOf(one, true)],
  };
}

export function heatNumbers(years: readonly HeatYear[], unit: TemperatureUnit): Numbers {
  const factor = unit === 'degF' ? 1.8 : 1;
  return {
    columns: [
      { file: 'day', head: t('findings.col_day'), day: true },
      { file: `degree_days_at_least_${unit}_d`, head: t('findings.col_at_least'), places: 0 },
      { file: `degree_days_at_most_${unit}_d`, head: t('findings.col_at_most'), places: 0 },
      { file: 'state', head: t('findings.col_standing') },
    ],
    rows: years.flatMap(({ sum }) =>
      [...sum.days]
        .reverse()
        .map((day) => [
          ...[day.day, day.low * factor, day.high * factor],
          day.read ? t('findings.warm_read') : t('findings.warm_no_reading'),
        ]),
    ),
  };
}
