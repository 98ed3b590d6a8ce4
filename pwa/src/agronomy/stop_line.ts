/**
 * Have enough boards been turned? Stop lines of three sequential plans.
 *
 * Green 1970 (Researches on Population Ecology 12:249): from Taylor's law s² = a m^b, sampling may stop when
 * the running total reaches T_n = (a n^(1-b) / d²)^(1/(2-b)), d = standard error / mean.
 * Kuno 1969 (same journal 11:127): T_n = (alpha + 1) / (d² - (beta - 1)/n) from Iwao's patchiness regression.
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
  verdict?: string;
  why_not: string[];
  method: string;
  source: string;
};

type Plan = { [K in keyof StopLineIn]?: StopLineIn[K] | undefined } & {
  method: StopLineIn['method'];
  n: number[];
};

const POSITIVE = maybe(number({ above: 0 }));

function needed(value: number | undefined, key: string, method: string): number {
  if (value === undefined) throw new InputFault(`/${key}`, `The ${method} plan needs "${key}".`);
  return value;
}

export function stopLine(input: StopLineIn): StopLine {
  const v = read(input, {
    method: choice('green', 'kuno', 'wald'),
    n: list(integer({ min: 1, max: 1e6 }), { min: 1 }),
    total: maybe(count()),
    a: POSITIVE,
    b: maybe(number()),
    d: POSITIVE,
    alpha: maybe(number()),
    beta: maybe(number()),
    mean0: POSITIVE,
    mean1: POSITIVE,
    k: POSITIVE,
    error_low: maybe(number({ above: 0, below: 0.5 })),
    error_high: maybe(number({ above: 0, below: 0.5 })),
  });
  if (v.method === 'wald') return wald(v);
  const d2 = needed(v.d, 'd', v.method) ** 2;
  const at = v.method === 'green' ? green(v, d2) : kuno(v, d2);
  return fixedPrecision(v, at);
}

/** Total at which the standard error over the mean has come down to d, or null where no total does it. */
function green(v: Plan, d2: number): (n: number) => number | null {
  const a = needed(v.a, 'a', 'green');
  const b = needed(v.b, 'b', 'green');
  return (n) => (b < 2 ? ((a * n ** (1 - b)) / d2) ** (1 / (2 - b)) : null);
}

function kuno(v: Plan, d2: number): (n: number) => number | null {
  const alpha = needed(v.alpha, 'alpha', 'kuno');
  const beta = needed(v.beta, 'beta', 'kuno');
  return (n) => {
    const room = d2 - (beta - 1) / n;
    return room > 0 && alpha > -1 ? (alpha + 1) / room : null;
  };
}

function fixedPrecision(v: Plan, at: (n: number) => number | null): StopLine {
  const lines = v.n.map((n) => ({ n, stop_total: at(n) }));
  const last = lines.at(-1)?.stop_total ?? null;
  const open = lines.filter((line) => line.stop_total === null).length;
  return {
    lines,
    ...(v.total !== undefined && { verdict: last !== null && v.total >= last ? 'stop' : 'go_on' }),
    why_not: open
      ? [
          `With ${open === 1 ? 'one of these numbers' : `${open} of these numbers`} of boards no total is enough.`,
        ]
      : [],
    method: v.method === 'green' ? "fixed precision, Taylor's law" : "fixed precision, Iwao's regression",
    source:
      v.method === 'green'
        ? 'Green 1970, Researches on Population Ecology 12:249'
        : 'Kuno 1969, Researches on Population Ecology 11:127',
  };
}

function wald(v: Plan): StopLine {
  const m0 = needed(v.mean0, 'mean0', 'wald');
  const m1 = needed(v.mean1, 'mean1', 'wald');
  const k = needed(v.k, 'k', 'wald');
  const errorLow = needed(v.error_low, 'error_low', 'wald');
  const errorHigh = needed(v.error_high, 'error_high', 'wald');
  if (m1 <= m0) throw new InputFault('/mean1', '"mean1" must be above "mean0".');
  const ratio = Math.log((m1 * (m0 + k)) / (m0 * (m1 + k)));
  const slope = (k * Math.log((m1 + k) / (m0 + k))) / ratio;
  const up = Math.log((1 - errorHigh) / errorLow) / ratio;
  const down = Math.log((1 - errorLow) / errorHigh) / ratio;
  const lines = v.n.map((n) => ({ n, lower: slope * n - down, upper: slope * n + up }));
  const last = lines.at(-1);
  const verdict = !last || v.total === undefined ? undefined : waldVerdict(v.total, last);
  return {
    lines,
    slope,
    intercept: up,
    ...(verdict && { verdict }),
    why_not: [],
    method: 'sequential probability ratio test, negative binomial',
    source: 'Oakland 1950, Biometrics 6:59',
  };
}

function waldVerdict(total: number, line: { lower: number; upper: number }): string {
  if (total <= line.lower) return 'low';
  return total >= line.upper ? 'high' : 'go_on';
}
