/**
 * How cold will it get tonight, and how likely is harm? From a fit that the server made and the phone kept.
 *
 * min = a + b evening + c dew + offset (Snyder & de Melo-Abreu 2005, Frost protection, vol. 1, ch. 5, FAO);
 * spread = √(s² (1 + h) + offset_sd²), h the leverage of tonight among the nights; chances and interval from
 * Student's t. With fewer than eight nights of its own a plot is treated as one more of four public stations.
 */
import { choice, InputFault, integer, level, list, maybe, number, or, read } from './input';
import { usualDrop } from './public_nights';
import { tCdf, tTwoSided } from './special/beta';

/** Nights of its own before a plot is foretold from them. */
const ENOUGH_NIGHTS = 8;
const N_COEFFICIENTS = { two_step: 3, joint: 3, evening_only: 2, mean_drop: 1 } as const;
const METHODS = ['two_step', 'joint', 'evening_only', 'mean_drop'] as const;

/** The parts of an answer of `frost-fit` that count here; whatever else it carries is left alone. */
export type FrostFit = {
  n: number;
  intercept?: number | null;
  evening_coef?: number | null;
  dew_coef?: number | null;
  rmse?: number | null;
  rmse_residual?: number | null;
  method?: (typeof METHODS)[number];
  evening_low_c?: number | null;
  evening_high_c?: number | null;
  evening_mean_c?: number | null;
  dew_low_c?: number | null;
  dew_high_c?: number | null;
  dew_mean_c?: number | null;
  evening_ss_c2?: number | null;
  dew_ss_c2?: number | null;
  both_ss_c2?: number | null;
};
export type FrostTonightIn = {
  evening_c: number;
  dew_c: number;
  critical_c?: number[];
  fit: FrostFit;
  offset_c?: number;
  offset_sd_c?: number;
  level?: number;
};
export type FrostTonight = {
  min_c: number;
  low_c: number | null;
  high_c: number | null;
  chances: { critical_c: number; p: number | null }[];
  /** Null when the fit does not carry the range of its nights. */
  inside_fitted_range: boolean | null;
  fitted_to_plot: boolean;
  sd_c: number | null;
  df: number | null;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

const RANGE = maybe(number({ min: -100, max: 100 }));
const ERROR = maybe(number({ min: 0, max: 1e3 }));
const SQUARES = maybe(number({ min: 0 }));
const COEF = or(number({ min: -1e3, max: 1e3 }), 0);
const readFit = (value: unknown, at: string) =>
  read(
    value,
    {
      n: integer({ min: 0, max: 20_000 }),
      intercept: maybe(number({ min: -1e4, max: 1e4 })),
      evening_coef: COEF,
      dew_coef: COEF,
      rmse: ERROR,
      rmse_residual: ERROR,
      method: or(choice(...METHODS), 'two_step' as const),
      evening_low_c: RANGE,
      evening_high_c: RANGE,
      evening_mean_c: RANGE,
      dew_low_c: RANGE,
      dew_high_c: RANGE,
      dew_mean_c: RANGE,
      evening_ss_c2: SQUARES,
      dew_ss_c2: SQUARES,
      both_ss_c2: maybe(number()),
    },
    at,
    true,
  );
type Fit = ReturnType<typeof readFit>;
type Told = Pick<FrostTonight, 'min_c' | 'sd_c' | 'df' | 'cautions' | 'method'> & {
  inside: boolean | null;
  own: boolean;
};

const ONLY_CLEAR = 'Holds for clear, calm, dry nights only; cloud or wind keeps it warmer.';

export function frostTonight(input: FrostTonightIn): FrostTonight {
  const v = read(input, {
    evening_c: number({ min: -60, max: 60 }),
    dew_c: number({ min: -100, max: 60 }),
    critical_c: or(list(number({ min: -100, max: 100 })), [0]),
    fit: maybe(readFit),
    offset_c: or(number({ min: -50, max: 50 }), 0),
    offset_sd_c: or(number({ min: 0, max: 50 }), 0),
    level: level(),
  });
  if (v.dew_c > v.evening_c) {
    throw new InputFault('/dew_c', 'The dew point is above the air temperature; check both.');
  }
  // The server could fit `nights` here; the phone only has what was kept from the server's fit.
  if (!v.fit) throw new InputFault('/nights', 'Give the "fit" kept from before.');
  const intercept = v.fit.n >= ENOUGH_NIGHTS ? v.fit.intercept : undefined;
  const told =
    intercept === undefined
      ? fromStations(v.evening_c, v.fit.n)
      : own(v.fit, intercept, v.evening_c, v.dew_c);
  const min = told.min_c + v.offset_c;
  const sd = told.sd_c === null ? null : Math.hypot(told.sd_c, v.offset_sd_c);
  const reach = sd === null || told.df === null ? null : tTwoSided(v.level, told.df) * sd;
  return {
    min_c: min,
    low_c: reach === null ? null : min - reach,
    high_c: reach === null ? null : min + reach,
    chances: v.critical_c.map((limit) => ({ critical_c: limit, p: chance(limit - min, sd, told.df) })),
    inside_fitted_range: told.inside,
    fitted_to_plot: told.own,
    sd_c: sd,
    df: told.df,
    why_not: [
      ...(told.inside === null ? ['The fit does not carry the range of its nights.'] : []),
      ...(reach === null
        ? ['The fit carries no error (rmse_residual or rmse), so there are no chances.']
        : []),
    ],
    cautions: told.cautions,
    method: told.method,
    source: 'Snyder & de Melo-Abreu 2005, Frost protection, vol. 1, ch. 5, FAO; predictive t distribution',
  };
}

function chance(gap: number, sd: number | null, df: number | null): number | null {
  if (sd === null || df === null) return null;
  if (sd === 0) return gap > 0 ? 1 : 0;
  return tCdf(gap / sd, df);
}

function own(fit: Fit, intercept: number, evening: number, dew: number): Told {
  const free = fit.n - N_COEFFICIENTS[fit.method];
  const scatter =
    fit.rmse_residual ?? (fit.rmse === undefined ? undefined : fit.rmse * Math.sqrt(fit.n / free));
  const inside = insideRange(fit, evening, dew);
  const cautions = [ONLY_CLEAR];
  if (inside === null) {
    cautions.push('The fit does not carry the range of its nights, so tonight cannot be held against it.');
  } else if (!inside) {
    cautions.push('This evening lies outside the nights it was fitted on: take the figure as a guess.');
  }
  const lever = leverage(fit, evening, dew);
  if (lever === undefined) {
    cautions.push('The fit does not carry the spread of its nights; the interval is a little too narrow.');
  }
  return {
    min_c: intercept + fit.evening_coef * evening + fit.dew_coef * dew,
    sd_c: scatter === undefined ? null : scatter * Math.sqrt(1 + (lever ?? 1 / fit.n)),
    df: free,
    inside,
    own: true,
    method: fit.method,
    cautions,
  };
}

/** How far tonight lies from the middle of the nights (0: in the middle of very many). */
function leverage(fit: Fit, evening: number, dew: number): number | undefined {
  if (fit.method === 'mean_drop') return 1 / fit.n;
  const {
    evening_mean_c: meanX,
    evening_ss_c2: sxx,
    dew_mean_c: meanD,
    dew_ss_c2: sdd,
    both_ss_c2: sxd,
  } = fit;
  if (meanX === undefined || sxx === undefined || sxx <= 0) return undefined;
  const u = evening - meanX;
  if (fit.method === 'evening_only') return 1 / fit.n + (u * u) / sxx;
  if (meanD === undefined || sdd === undefined || sxd === undefined) return undefined;
  const area = sxx * sdd - sxd * sxd;
  if (area <= 0) return undefined;
  const d = dew - meanD;
  return 1 / fit.n + (u * u * sdd - 2 * u * d * sxd + d * d * sxx) / area;
}

/** Outside by either reading is outside; a range that is not known leaves the rest open. */
function insideRange(fit: Fit, evening: number, dew: number): boolean | null {
  const known = [within(evening, fit.evening_low_c, fit.evening_high_c)];
  if (fit.method === 'two_step' || fit.method === 'joint') {
    known.push(within(dew, fit.dew_low_c, fit.dew_high_c));
  }
  return known.includes(false) ? false : known.includes(null) ? null : true;
}

function within(value: number, low: number | undefined, high: number | undefined): boolean | null {
  return low === undefined || high === undefined ? null : low <= value && value <= high;
}

function fromStations(evening: number, n: number): Told {
  const { drop, sd, df } = usualDrop();
  const own = `${n} clear nights of its own, ${ENOUGH_NIGHTS} are needed`;
  const said =
    n >= ENOUGH_NIGHTS
      ? 'Not fitted to your plot: its nights are too much alike, so four public stations stand in.'
      : `Not fitted to your plot yet: ${own}; until then the usual drop of four public stations stands in, with a wide spread.`;
  return {
    min_c: evening - drop,
    sd_c: sd,
    df,
    inside: false,
    own: false,
    method: 'mean drop of public station nights',
    cautions: [said, ONLY_CLEAR],
  };
}
