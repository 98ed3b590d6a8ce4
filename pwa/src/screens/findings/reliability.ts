/** Chances that were given beside the share that came: the picture, its table and its sentence. Pure. */
import { proportion } from '../../agronomy';
import type { Chances } from './replay';

/** Fewer times than this say little: one more or less moves the share by a fifth and more. Our own choice. */
export const FEW = 5;
export const SQUARE = { size: 300, left: 48, right: 12, top: 14, bottom: 46 } as const;
const BIGGEST = 9;
const SMALLEST = 2.5;

export interface Bin extends Chances {
  came: number;
  /** Exact 95 % limits of the share that came (Clopper & Pearson 1934). */
  low: number;
  high: number;
  few: boolean;
}

export function binsOf(reliability: readonly Chances[]): Bin[] {
  return reliability.map((one) => {
    const came = Math.round(one.observed * one.n);
    return { ...one, came, few: one.n < FEW, ...limits(came, one.n) };
  });
}

/** What all chances together say: given on average, came, and whether that can be chance. */
export interface OnTheWhole {
  n: number;
  came: number;
  said: number;
  share: number;
  low: number;
  high: number;
  verdict: 'fits' | 'too_low' | 'too_high';
}

export function onTheWhole(bins: readonly Bin[]): OnTheWhole | undefined {
  const n = sum(bins.map((bin) => bin.n));
  if (n === 0) return undefined;
  const came = sum(bins.map((bin) => bin.came));
  const said = sum(bins.map((bin) => bin.n * bin.mean_p)) / n;
  const { low, high } = limits(came, n);
  const verdict = said < low ? 'too_low' : said > high ? 'too_high' : 'fits';
  return { n, came, said, share: came / n, low, high, verdict };
}

export interface Spot {
  bin: Bin;
  x: number;
  y: number;
  y_low: number;
  y_high: number;
  r: number;
}

/** Where everything stands; the area of a spot follows how many times it speaks for. */
export function spotsOf(bins: readonly Bin[]): Spot[] {
  const most = Math.max(FEW, ...bins.map(({ n }) => n));
  return bins.map((bin) => ({
    bin,
    x: xOf(bin.mean_p),
    y: yOf(bin.observed),
    y_low: yOf(bin.low),
    y_high: yOf(bin.high),
    r: bin.few ? SMALLEST : Math.max(SMALLEST + 1.5, BIGGEST * Math.sqrt(bin.n / most)),
  }));
}

export function xOf(chance: number): number {
  return SQUARE.left + chance * (SQUARE.size - SQUARE.left - SQUARE.right);
}

export function yOf(share: number): number {
  return SQUARE.size - SQUARE.bottom - share * (SQUARE.size - SQUARE.top - SQUARE.bottom);
}

function limits(found: number, examined: number): { low: number; high: number } {
  const { exact_low, exact_high } = proportion({ found, examined });
  return { low: exact_low, high: exact_high };
}

function sum(values: readonly number[]): number {
  return values.reduce((all, one) => all + one, 0);
}
