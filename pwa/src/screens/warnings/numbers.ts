/** The numbers a warning rests on, as rows for people: names in words, units, intervals as two numbers. Pure. */
import { decimals, t } from '../../text';
import { dayWords, localClock, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { inUnit, type TemperatureUnit } from '../readings/model';

/** What the words need to know of the plot. */
export type As = Pick<PlotFacts, 'unit' | 'time_zone'>;

export interface NumberRow {
  name: string;
  value: string;
}

type Unit = { end: RegExp; words: (value: number, as: As) => string };

/** The unit is the end of the name. */
const UNITS: readonly Unit[] = [
  { end: /_c$/, words: (value, as) => degreeWords(value, as.unit) },
  { end: /_percent$/, words: (value) => `${tidy(value)}\u00a0%` },
  { end: /_per_m2$|_m2$/, words: (value) => `${tidy(value)}\u00a0${'/ m²'}` },
  { end: /_days$/, words: (value) => `${tidy(value)}\u00a0d` },
  { end: /_hours$/, words: (value) => `${tidy(value)}\u00a0h` },
  { end: /_m$/, words: (value) => `${tidy(value)}\u00a0m` },
];
const PARTS: Readonly<Record<string, string>> = {
  p: 'chance',
  n: 'number of',
  min: 'lowest',
  max: 'highest',
  on: '',
  at: '',
};
const HIDDEN = /(^|_)ids?$|^(key|rule|level)$/;

export function degreeWords(celsius: number, as: TemperatureUnit): string {
  const value = inUnit({ value: celsius, unit: 'degC' }, as);
  return `${decimals(value + 0)
    .replace(/^-0([.,]0)?$/, '0$1')
    .replace('-', '\u2212')}\u00a0${t(`forms.unit_${as}`)}`;
}

/** A chance in whole percent, never nought and never all. */
export function chanceWords(p: number): string {
  if (p < 0.01) return t('evening.p_under');
  if (p > 0.99) return t('evening.p_over');
  return t('evening.p', { n: Math.round(100 * p) });
}

export function numberRows(numbers: Record<string, unknown> | undefined, as: As): NumberRow[] {
  const all = numbers ?? {};
  return Object.entries(all).flatMap(([key, value]): NumberRow[] => {
    if (HIDDEN.test(key) || value === null || isEnd(key, all)) return [];
    if (typeof value === 'object') {
      const words = spanOf(key, value, as) ?? listWords(value, as);
      return words ? [{ name: nameOf(key), value: words }] : [];
    }
    const ends = endsOf(key, all);
    const range = ends && spanOf(key, ends, as);
    const words = valueWords(key, value, as);
    return [{ name: nameOf(key), value: range ? `${words} (${range})` : words }];
  });
}

type Numbers = Readonly<Record<string, unknown>>;

/** `risk` has its interval in `risk_low` and `risk_high`, and `min_c` in `low_c` and `high_c`. */
function endsOf(key: string, all: Numbers): { low: number; high: number } | undefined {
  const [low, high] = key === 'min_c' ? [all.low_c, all.high_c] : [all[`${key}_low`], all[`${key}_high`]];
  return typeof low === 'number' && typeof high === 'number' ? { low, high } : undefined;
}

function isEnd(key: string, all: Numbers): boolean {
  if (key === 'low_c' || key === 'high_c') return endsOf('min_c', all) !== undefined;
  const stem = /^(.*)_(?:low|high)$/.exec(key)?.[1];
  return stem !== undefined && stem in all && endsOf(stem, all) !== undefined;
}

function listWords(value: object, as: As): string | undefined {
  if (!Array.isArray(value) || value.length === 0 || value.some((one) => typeof one === 'object'))
    return undefined;
  return value.map((one) => valueWords('', one, as)).join(', ');
}

/** Lists of things, each a table of its own. */
export function numberTables(numbers: Record<string, unknown> | undefined, as: As) {
  return Object.entries(numbers ?? {}).flatMap(([key, value]) => {
    if (!Array.isArray(value) || !value.every(isRecord) || value.length === 0) return [];
    const columns = [...new Set(value.flatMap((row) => Object.keys(row)))].filter(
      (name) => !HIDDEN.test(name) && value.some((row) => typeof row[name] !== 'object'),
    );
    return [
      {
        name: nameOf(key),
        columns: columns.map(nameOf),
        rows: value.map((row) => columns.map((name) => valueWords(name, row[name], as))),
      },
    ];
  });
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** { low, high } and the like. */
function spanOf(key: string, value: unknown, as: As): string | undefined {
  if (HIDDEN.test(key) || !isRecord(value)) return undefined;
  const { low, high } = value;
  if (typeof low !== 'number' || typeof high !== 'number') return undefined;
  return t('warnings.to', { low: valueWords(key, low, as), high: valueWords(key, high, as) });
}

function valueWords(key: string, value: unknown, as: As): string {
  if (value === null || value === undefined) return '–';
  if (typeof value === 'boolean') return t(value ? 'warnings.yes' : 'warnings.no');
  if (typeof value !== 'number') return textWords(String(value), as);
  if (/(^|_)(p|chance|share|probability|risk)(_|$)/.test(key) && value >= 0 && value <= 1)
    return chanceWords(value);
  if (/(^|_)year$/.test(key)) return String(value);
  return UNITS.find(({ end }) => end.test(key))?.words(value, as) ?? tidy(value);
}

function textWords(text: string, as: As): string {
  const today = localDay(new Date(), as.time_zone);
  if (/^\d{4}-\d\d-\d\d$/.test(text)) return dayWords(text, today);
  if (/^\d{4}-\d\d-\d\dT/.test(text) && !Number.isNaN(Date.parse(text))) {
    return `${dayWords(localDay(text, as.time_zone), today)} ${localClock(text, as.time_zone)}`;
  }
  return text.replaceAll('_', ' ');
}

function nameOf(key: string): string {
  const plain = key.replace(/_(c|percent|per_m2|m2|days|hours|m)$/, '');
  const words = plain
    .split('_')
    .map((part) => PARTS[part] ?? part)
    .filter(Boolean)
    .join(' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}

function tidy(value: number): string {
  if (Number.isInteger(value)) return decimals(value, 0).replace('-', '\u2212');
  return decimals(value, Math.abs(value) < 1 ? 2 : 1).replace('-', '\u2212');
}
