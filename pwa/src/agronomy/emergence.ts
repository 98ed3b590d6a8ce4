/**
 * When will what was sown come up? Thermal time, from the days to emerge that Harrington & Minges measured.
 *
 * The line 1/days = (T - base)/theta is fitted by least squares to the published days at steady soil
 * temperatures, over the range where a straight line describes them: Harrington, J. F. & Minges, P. A. (1954),
 * Vegetable seed germination, University of California; two printed copies agree to within a day.
 */
import { choice, list, number, type Reader, read } from './input';

const DAYS_TO_EMERGE = {
  bean: { 15: 16, 20: 11, 25: 8 },
  beet: { 5: 42, 10: 17, 15: 10, 20: 6 },
  cabbage: { 10: 15, 15: 9, 20: 6 },
  carrot: { 5: 51, 10: 17, 15: 10, 20: 7 },
  lettuce: { 5: 15, 10: 7, 15: 4, 20: 3 },
  onion: { 5: 31, 10: 13, 15: 7, 20: 5 },
  parsnip: { 5: 57, 10: 27, 15: 19, 20: 14 },
  pea: { 5: 36, 10: 14, 15: 9 },
  pepper: { 15: 25, 20: 13, 25: 8 },
};
export type EmergingCrop = keyof typeof DAYS_TO_EMERGE;
const COPIES_DIFFER_BY_D = 1;
/** Days whose mean stands for the days to come, when daily temperatures are given. */
const RECENT_DAYS = 5;

export type EmergenceIn = { crop: EmergingCrop; soil_c: number | number[] };
export type Emergence = {
  days: number | null;
  low_days: number | null;
  high_days: number | null;
  share_done: number | null;
  base_c: number;
  thermal_time_c_d: number;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

/** Base temperature, thermal time, worst relative misfit of the line on its own rows, and its range. */
function line(crop: EmergingCrop) {
  const rows = Object.entries(DAYS_TO_EMERGE[crop]).map(([t, days]) => [Number(t), days] as const);
  const meanC = rows.reduce((sum, [t]) => sum + t, 0) / rows.length;
  const meanRate = rows.reduce((sum, [, days]) => sum + 1 / days, 0) / rows.length;
  const spread = rows.reduce((sum, [t]) => sum + (t - meanC) ** 2, 0);
  const slope = rows.reduce((sum, [t, days]) => sum + (t - meanC) * (1 / days - meanRate), 0) / spread;
  const base = meanC - meanRate / slope;
  const misfits = rows.map(([t, days]) => Math.abs(1 / slope / (t - base) / days - 1));
  const range = rows.map(([t]) => t);
  return {
    base,
    theta: 1 / slope,
    misfit: Math.max(...misfits),
    low: Math.min(...range),
    high: Math.max(...range),
  };
}

/** Warmth gathered, and the fraction of days after which it was enough (undefined: not yet). */
function walk(soil: number[], base: number, theta: number): [gained: number, reached?: number] {
  let gained = 0;
  for (const [i, t] of soil.entries()) {
    const more = Math.max(0, t - base);
    if (more && gained + more >= theta) return [theta, i + (theta - gained) / more];
    gained += more;
  }
  return [gained];
}

const SOIL = number({ min: -20, max: 50 });
const SOIL_DAILY = list(SOIL, { max: 1000 });
const soilOrSeries: Reader<number | number[]> = (value, at) =>
  Array.isArray(value) ? SOIL_DAILY(value, at) : SOIL(value, at);

export function emergence(input: EmergenceIn): Emergence {
  const crops = Object.keys(DAYS_TO_EMERGE) as EmergingCrop[];
  const v = read(input, { crop: choice(...crops), soil_c: soilOrSeries });
  const fit = line(v.crop);
  const single = typeof v.soil_c === 'number';
  const soFar = typeof v.soil_c === 'number' ? [] : v.soil_c;
  const recent = typeof v.soil_c === 'number' ? [v.soil_c] : v.soil_c.slice(-RECENT_DAYS);
  const ahead = recent.length ? recent.reduce((sum, t) => sum + t, 0) / recent.length : undefined;
  const [gained, reached] = walk(soFar, fit.base, fit.theta);
  const why: string[] = [];
  let days = reached ?? null;
  if (days === null && ahead === undefined) why.push('There is no soil temperature yet.');
  else if (days === null && ahead !== undefined) {
    if (ahead > fit.base) days = soFar.length + (fit.theta - gained) / (ahead - fit.base);
    else {
      const cold = `${ahead.toFixed(1)} °C the soil is not above ${fit.base.toFixed(1)} °C`;
      why.push(`At ${cold}, below which it stays put.`);
    }
  }
  if (single) why.push('share_done needs the daily soil temperatures since sowing.');
  return {
    days,
    low_days: days === null ? null : Math.max(0, days * (1 - fit.misfit) - COPIES_DIFFER_BY_D),
    high_days: days === null ? null : days * (1 + fit.misfit) + COPIES_DIFFER_BY_D,
    share_done: single ? null : Math.min(1, gained / fit.theta),
    base_c: fit.base,
    thermal_time_c_d: fit.theta,
    why_not: why,
    cautions: cautions(fit, single ? recent : soFar),
    method: 'thermal time: a straight line of 1/days on soil temperature',
    source: 'Harrington & Minges 1954, University of California; line of rate on temperature fitted here',
  };
}

function cautions(fit: { low: number; high: number }, soilC: number[]): string[] {
  const said = [
    'From seed in moist soil at steady warmth; dry, cold or capped ground takes longer or fails.',
  ];
  if (soilC.some((t) => t < fit.low || t > fit.high)) {
    said.push(`Outside ${fit.low} to ${fit.high} °C, where the line was fitted, this is a guess.`);
  }
  return said;
}
