/**
 * How much growing warmth has built up above a base temperature?
 *
 * Single sine: Baskerville & Emin 1969, Ecology 50:514. Single triangle: Sevacherian 1977. Double methods give
 * half a day to today's minimum and half to tomorrow's: University of California IPM. An upper cut-off is
 * horizontal: curve(base) - curve(upper); average and floored cap both readings first.
 */
import { choice, count, InputFault, list, maybe, number, or, orNull, read } from './input';

const METHODS = ['sine', 'triangle', 'average', 'floored', 'double_sine', 'double_triangle'] as const;
type Method = (typeof METHODS)[number];
type Day = (low: number, high: number, base: number) => number;

export type DegreeDaysIn = {
  min_c: (number | null)[];
  max_c: (number | null)[];
  base_c: number;
  upper_c?: number | null;
  method?: Method;
  max_missing?: number;
};
export type DegreeDays = {
  daily: (number | null)[];
  total: number | null;
  n_missing: number;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

const average: Day = (low, high, base) => Math.max(0, low / 2 + high / 2 - base);

const floored: Day = (low, high, base) => Math.max(low, base) / 2 + Math.max(high, base) / 2 - base;

const triangle: Day = (low, high, base) => {
  if (high <= base) return 0;
  if (low >= base) return low / 2 + high / 2 - base;
  return (high - base) ** 2 / (2 * (high - low));
};

const sine: Day = (low, high, base) => {
  if (high <= base) return 0;
  const middle = low / 2 + high / 2;
  if (low >= base) return middle - base;
  const half = (high - low) / 2;
  const angle = Math.asin(Math.min(1, Math.max(-1, (base - middle) / half)));
  return Math.max(0, ((middle - base) * (Math.PI / 2 - angle) + half * Math.cos(angle)) / Math.PI);
};

const CURVES: Record<string, Day> = { sine, triangle, average, floored };
const WORDS: Record<Method, string> = {
  sine: 'single sine',
  triangle: 'single triangle',
  average: 'average',
  floored: 'average of floored readings',
  double_sine: 'double sine',
  double_triangle: 'double triangle',
};

function dayOf(method: Method, upper: number | undefined): Day {
  const curve = CURVES[method.replace('double_', '')] ?? sine;
  if (upper === undefined) return curve;
  if (curve === average || curve === floored) {
    return (low, high, base) => curve(Math.min(low, upper), Math.min(high, upper), base);
  }
  return (low, high, base) => curve(low, high, base) - curve(low, high, upper);
}

const days = (n: number): string => `${n} day${n === 1 ? '' : 's'}`;

export function degreeDays(input: DegreeDaysIn): DegreeDays {
  const temperature = number({ min: -100, max: 100 });
  const v = read(input, {
    min_c: list(orNull(temperature)),
    max_c: list(orNull(temperature)),
    base_c: temperature,
    upper_c: maybe(temperature),
    method: or(choice(...METHODS), 'sine' as const),
    max_missing: or(count(), 0),
  });
  check(v.min_c, v.max_c, v.base_c, v.upper_c);
  const double = v.method.startsWith('double_');
  const day = dayOf(v.method, v.upper_c);
  const daily = v.min_c.map((low, i) => {
    const high = v.max_c[i] ?? null;
    const tomorrow = double && i + 1 < v.min_c.length ? (v.min_c[i + 1] ?? null) : low;
    if (low === null || high === null || tomorrow === null) return null;
    if (!double) return day(low, high, v.base_c);
    // Tomorrow's minimum can lie above today's maximum: the half wave then runs the other way.
    const second = day(Math.min(tomorrow, high), Math.max(tomorrow, high), v.base_c);
    return (day(low, high, v.base_c) + second) / 2;
  });
  const missing = daily.filter((d) => d === null).length;
  const withheld = missing > v.max_missing;
  const cautions: string[] = [];
  if (missing && !withheld) cautions.push(`The total leaves out ${days(missing)} and so is too low.`);
  if (double && daily.length) {
    cautions.push('The last day has no tomorrow yet; its own minimum stands in for it.');
  }
  return {
    daily,
    total: withheld ? null : daily.reduce<number>((sum, d) => sum + (d ?? 0), 0),
    n_missing: missing,
    why_not: withheld ? [`${days(missing)} missing, and a missing day is not zero degrees.`] : [],
    cautions,
    method: `${WORDS[v.method]}, ${v.upper_c === undefined ? 'no upper' : 'horizontal upper'} cut-off`,
    source: 'Baskerville & Emin 1969, Ecology 50:514 (sine); Sevacherian 1977 (triangle); UC IPM (double)',
  };
}

type Readings = (number | null)[];

function check(min: Readings, max: Readings, base: number, upper: number | undefined): void {
  if (min.length !== max.length) {
    throw new InputFault('/max_c', `There must be as many maxima (${max.length}) as minima (${min.length}).`);
  }
  min.forEach((low, i) => {
    const high = max[i] ?? null;
    if (low !== null && high !== null && low > high) {
      throw new InputFault(
        `/min_c/${i}`,
        `The minimum ${low} °C is above the maximum ${high} °C; swap them.`,
      );
    }
  });
  if (upper !== undefined && upper <= base) {
    throw new InputFault('/upper_c', `The upper temperature must be above the base, ${base} °C.`);
  }
}
