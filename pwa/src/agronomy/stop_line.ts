/**
 * May I stop turning boards, and what is the verdict? Stop lines of three sequential plans.
 *
 * Green 1970 (Res. Popul. Ecol. 12:249): T_n = (a n^(1-b) / d²)^(1/(2-b)) from Taylor's law s² = a m^b, with
 * d = standard error / mean. Kuno 1969 (11:127): T_n = (alpha + 1) / (d² - (beta - 1)/n) from Iwao's regression.
 * Wald's test for negative binomial counts (Oakland 1950, Biometrics 6:59): two parallel lines.
 */
import { choice, count, InputFault, integer, list, maybe, number, read } from './input';

export type StopLineIn = {
  method: 'green' | 'kuno' | 'wald';
  n: number[];
  total?: number;
  a?: number;
  b?: number;
  d?: number;
  alpha?: number;
  beta?: number;
  mean0?: number;
  mean1?: number;
  k?: number;
  error_low?: number;
  error_high?: number;
};
export type StopLine = {
  lines: ({ n: number; stop_total: number | null } | { n: number; lower: number; upper: number })[];
  slope?: number;
  intercept?: number;
  intercept_lower?: number;
  verdict?: string;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

type Plan = { [K in keyof StopLineIn]?: StopLineIn[K] | undefined } & {
  method: StopLineIn['method'];
  n: number[];
};

const POSITIVE = maybe(number({ min: 1e-9, max: 1e9 }));
const ERROR = maybe(number({ min: 1e-12, below: 1 }));
const WIDE = maybe(number({ min: -1e6, max: 1e6 }));
const SOURCE = 'Green 1970 and Kuno 1969, Res. Popul. Ecol. 12:249 and 11:127; Oakland 1950, Biometrics 6:59';

/** The constants that a plan cannot do without. */
function needed<K extends keyof Plan>(v: Plan, ...keys: K[]): number[] {
  return keys.map((key) => {
    const value = v[key];
    if (typeof value !== 'number') throw new InputFault(`/${key}`, `Method "${v.method}" needs "${key}".`);
    return value;
  });
}

export function stopLine(input: StopLineIn): StopLine {
  const v = read(input, {
    method: choice('green', 'kuno', 'wald'),
    n: list(integer({ min: 1, max: 1e9 }), { min: 1, max: 10_000 }),
    total: maybe(count()),
    a: POSITIVE,
    b: maybe(number({ min: -10, max: 10 })),
    d: maybe(number({ min: 1e-9, max: 1e6 })),
    alpha: WIDE,
    beta: WIDE,
    mean0: POSITIVE,
    mean1: POSITIVE,
    k: POSITIVE,
    error_low: ERROR,
    error_high: ERROR,
  });
  if (v.method === 'wald') return wald(v);
  return fixedPrecision(v, v.method === 'green' ? green(v) : kuno(v));
}

/** Total at which the standard error over the mean has come down to d, or null where no total does it. */
function green(v: Plan): (n: number) => number | null {
  const [a = 0, b = 0, d = 0] = needed(v, 'a', 'b', 'd');
  return (n) => {
    // From b = 2 on, variance outgrows the square of the mean: a larger total makes it no more precise.
    const log = (Math.log(a) + (1 - b) * Math.log(n) - 2 * Math.log(d)) / (2 - b);
    return b < 2 && log < 700 ? Math.exp(log) : null;
  };
}

function kuno(v: Plan): (n: number) => number | null {
  const [alpha = 0, beta = 0, d = 0] = needed(v, 'alpha', 'beta', 'd');
  return (n) => {
    const rest = d * d - (beta - 1) / n;
    const found = rest > 0 ? (alpha + 1) / rest : -1;
    return found > 0 && found < 1e300 ? found : null;
  };
}

function fixedPrecision(v: Plan, at: (n: number) => number | null): StopLine {
  const lines = v.n.map((n) => ({ n, stop_total: at(n) }));
  const last = lines.at(-1)?.stop_total ?? null;
  const never = lines.filter((line) => line.stop_total === null).map((line) => line.n);
  const shown = never.slice(0, 5).join(', ') + (never.length > 5 ? ' …' : '');
  return {
    lines,
    ...(v.total !== undefined && { verdict: last !== null && v.total >= last ? 'stop' : 'go_on' }),
    why_not: never.length ? [`At ${shown} boards no total is enough for this precision.`] : [],
    cautions: [],
    method: `${v.method === 'green' ? 'Green' : 'Kuno'}'s stop line of fixed precision`,
    source: SOURCE,
  };
}

function wald(v: Plan): StopLine {
  const [m0 = 0, m1 = 0, k = 0, low = 0, high = 0] = needed(
    v,
    ...(['mean0', 'mean1', 'k', 'error_low', 'error_high'] as const),
  );
  if (m1 <= m0) throw new InputFault('/mean1', 'The upper mean must be above the lower one.');
  if (low + high >= 1) throw new InputFault('/error_high', 'The two errors must add up to less than 1.');
  // Written as differences so that means close together, or a huge k, lose no digits.
  const shift = Math.log1p((m1 - m0) / (m0 + k));
  const unit = Math.log1p((m1 - m0) / m0) - shift;
  if (!(unit > 0 && Number.isFinite(1 / unit))) {
    throw new InputFault('/mean1', 'The two means are too close together to be told apart.');
  }
  const slope = (k * shift) / unit;
  const upper = Math.log((1 - high) / low) / unit;
  const lower = Math.log(high / (1 - low)) / unit;
  const lines = v.n.map((n) => ({ n, lower: slope * n + lower, upper: slope * n + upper }));
  const last = lines.at(-1);
  return {
    lines,
    slope,
    intercept: upper,
    intercept_lower: lower,
    ...(last && v.total !== undefined && { verdict: waldVerdict(v.total, last) }),
    why_not: [],
    cautions: [
      'Set a largest number of boards beforehand: between the two means the test can go on for long.',
    ],
    method: "Wald's sequential test, negative binomial",
    source: SOURCE,
  };
}

function waldVerdict(total: number, line: { lower: number; upper: number }): string {
  if (total > line.upper) return 'high';
  return total < line.lower ? 'low' : 'go_on';
}
