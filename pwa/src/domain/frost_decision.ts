/**
 * Shall people be warned of frost this evening? The server's decision (core/warnings/frost_decision.py) from what
 * the plot has learned and one evening, so that a phone with no network says the same.
 */
import { type FrostFit, type FrostTonight, frostTonight } from '../agronomy/frost_tonight';
import { tCdf } from '../agronomy/special/beta';
import { cropDamage } from './crop_damage';
import type { StandingCrop } from './standing_crops';

const LEVEL = 0.95;
const AIR_FROST_C = 0;
const ENOUGH_NIGHTS = 8;

type KeptFit = FrostFit & { without_dew?: FrostFit; dull?: FrostFit };
/** The plot's `learned` record. */
export type Learned = {
  frost_fit?: KeptFit | null;
  offsets?: Record<string, { plan_with_c?: number | null; sd_c?: number | null }> | null;
};
export type FrostDecisionIn = {
  learned: Learned;
  /** A dew point above the air is no dew point: give null. */
  evening: { evening_c: number; dew_c?: number | null; sky?: string | null; wind?: string | null };
  crops: readonly StandingCrop[];
  settings: { cost: number; loss: number; at_c?: number | null };
  /** Lowest temperature read since, by place; '' in the open [°C]. */
  seen_c?: Record<string, number>;
  /** No crop was ever recorded: ask for frost of the air. */
  air_frost?: boolean;
};
export type CropChance = {
  crop_id: string | null;
  kind: string;
  critical_c: number | null;
  p: number | null;
};
export type PlaceTonight = {
  place_id: string | null;
  min_c: number;
  low_c: number;
  high_c: number;
  offset_c: number;
  offset_sd_c: number;
  crops: CropChance[];
};
export type FrostDecision = {
  min_c: number;
  low_c: number;
  high_c: number;
  level: number;
  fitted_to_plot: boolean;
  inside_fitted_range: boolean | null;
  n_nights: number;
  /** Radiation makes the night; else it will most likely stay warmer. */
  clear: boolean;
  /** The figures come from eight and more cloudy or windy nights of the plot. */
  dull_fitted: boolean;
  /** It is colder already than something that stands there bears, whatever the sky does. */
  already: boolean;
  places: PlaceTonight[];
  /** The largest chance of harm; null when nothing that stands is known. */
  p: number | null;
  threshold: number | null;
  fires: boolean;
  by_chance: boolean;
  by_own: boolean;
  unknown: string[];
};

type Asked = { place: string | null } & Omit<CropChance, 'p'>;

export function frostDecision(input: FrostDecisionIn): FrostDecision {
  const { evening, settings } = input;
  const clear = clearCalm(evening);
  const kept: KeptFit = input.learned.frost_fit ?? { n: 0 };
  const dull = !clear && kept.dull && kept.dull.n >= ENOUGH_NIGHTS ? kept.dull : undefined;
  const { fit, dew } = usable(dull ?? kept, evening);
  const asked: Asked[] = input.crops.map(({ crop_id, kind, place_id, stage, hardened }) => ({
    place: place_id,
    crop_id,
    kind,
    critical_c: cropDamage(kind, stage, hardened).critical_c,
  }));
  const unknown = [...new Set(asked.filter((one) => one.critical_c === null).map(({ kind }) => kind))].sort();
  if (asked.every((one) => one.critical_c === null) && (asked.length > 0 || (input.air_frost ?? true))) {
    asked.push({ place: null, crop_id: null, kind: 'air frost', critical_c: AIR_FROST_C });
  }
  const ids = [...new Set(asked.map(({ place }) => place))].sort((a, b) => ((a ?? '') < (b ?? '') ? -1 : 1));
  const places = ids.map((id) =>
    placeTonight(
      input,
      fit,
      dew,
      id,
      asked.filter(({ place }) => place === id),
    ),
  );
  const told = frostTonight({ evening_c: evening.evening_c, dew_c: dew, fit, level: LEVEL });
  const open = bounded(told, input.seen_c?.['']);
  const chances = places.flatMap(({ crops }) => crops.flatMap(({ p }) => (p === null ? [] : [p])));
  const p = chances.length > 0 ? Math.max(...chances) : null;
  const byOwn =
    typeof settings.at_c === 'number' &&
    Math.min(open.min_c, ...places.map(({ min_c }) => min_c)) <= settings.at_c;
  const already = places.some(({ place_id, offset_c, crops }) =>
    crops.some(({ critical_c }) => critical_c !== null && coldest(input, place_id, offset_c) < critical_c),
  );
  const byChance =
    (clear || dull !== undefined || already) && p !== null && p * settings.loss > settings.cost;
  return {
    ...open,
    level: LEVEL,
    fitted_to_plot: told.fitted_to_plot,
    inside_fitted_range: told.inside_fitted_range,
    n_nights: fit.n,
    clear,
    dull_fitted: dull !== undefined,
    already,
    places,
    p,
    threshold: settings.loss === 0 ? null : settings.cost / settings.loss,
    fires: byChance || byOwn,
    by_chance: byChance,
    by_own: byOwn,
    unknown,
  };
}

function clearCalm({ sky, wind }: FrostDecisionIn['evening']): boolean {
  return (!sky || sky === 'clear') && (!wind || wind === 'calm' || wind === 'light');
}

/** The fit this evening can be put into; without a dew point the usual drop, which needs none. */
function usable(fit: KeptFit, evening: FrostDecisionIn['evening']): { fit: FrostFit; dew: number } {
  if (typeof evening.dew_c === 'number') return { fit, dew: evening.dew_c };
  const needsDew = ['two_step', 'joint'].includes(fit.method ?? 'two_step');
  return { fit: needsDew ? (fit.without_dew ?? { n: 0 }) : fit, dew: evening.evening_c };
}

function placeTonight(
  input: FrostDecisionIn,
  fit: FrostFit,
  dew: number,
  place: string | null,
  rows: Asked[],
): PlaceTonight {
  const kept = input.learned.offsets?.[place ?? ''];
  const offset = { c: kept?.plan_with_c ?? 0, sd: kept?.sd_c ?? 0 };
  const limits = rows.flatMap(({ critical_c }) => (critical_c === null ? [] : [critical_c]));
  const evening = input.evening.evening_c;
  const told = frostTonight({
    evening_c: evening,
    dew_c: dew,
    critical_c: limits,
    fit,
    offset_c: offset.c,
    offset_sd_c: offset.sd,
    level: LEVEL,
  });
  const downTo = coldest(input, place, offset.c);
  const chanceOf = (critical: number): number | null => {
    if (downTo < critical) return 1;
    const given = told.chances.find(({ critical_c }) => critical_c === critical)?.p ?? null;
    return turned(fit, evening, dew, offset, critical) ?? given;
  };
  return {
    place_id: place,
    ...bounded(told, Object.keys(input.seen_c ?? {}).length > 0 ? downTo : undefined),
    offset_c: offset.c,
    offset_sd_c: offset.sd,
    crops: rows.map(({ crop_id, kind, critical_c }) => ({
      crop_id,
      kind,
      critical_c,
      p: critical_c === null ? null : chanceOf(critical_c),
    })),
  };
}

/** What it has been down to at a place: the minimum is that or lower. */
function coldest({ evening, seen_c }: FrostDecisionIn, place: string | null, offset: number): number {
  const open = Math.min(evening.evening_c, seen_c?.[''] ?? evening.evening_c) + offset;
  return Math.min(open, (place ? seen_c?.[place] : undefined) ?? open);
}

/** As frost-tonight has them, and no higher than what was read since. */
function bounded(told: FrostTonight, bound = Number.POSITIVE_INFINITY) {
  return {
    min_c: Math.min(told.min_c, bound),
    low_c: Math.min(told.low_c ?? told.min_c, bound),
    high_c: Math.min(told.high_c ?? told.min_c, bound),
  };
}

/**
 * The chance at the turning point when this evening lies beyond it: far outside the nights of a fit the interval
 * widens so fast that a warmer evening would raise the chance of frost again. m/√Q with m = a + b u and
 * Q = q0 + q1 u + q2 u² turns where b Q = m Q'/2; u is the evening less the mean evening.
 */
function turned(
  fit: FrostFit,
  evening: number,
  dew: number,
  offset: { c: number; sd: number },
  critical: number,
): number | undefined {
  const { n, intercept, evening_coef: b, rmse_residual: error, method = 'two_step' } = fit;
  const {
    evening_mean_c: mean,
    evening_ss_c2: sxx,
    dew_ss_c2: sdd,
    both_ss_c2: sxd,
    dew_mean_c: meanDew,
  } = fit;
  if (n < ENOUGH_NIGHTS || method === 'mean_drop' || typeof intercept !== 'number') return undefined;
  if (!error || !b || b < 0 || typeof mean !== 'number' || !sxx || sxx <= 0) return undefined;
  let q0 = 1 + 1 / n + (offset.sd / error) ** 2;
  let q1 = 0;
  let q2 = 1 / sxx;
  if (method !== 'evening_only') {
    if (typeof meanDew !== 'number' || typeof sdd !== 'number' || typeof sxd !== 'number') return undefined;
    const area = sxx * sdd - sxd * sxd;
    if (area <= 0) return undefined;
    const v = dew - meanDew;
    q0 += (v * v * sxx) / area;
    q1 = (-2 * v * sxd) / area;
    q2 = sdd / area;
  }
  const a = intercept + b * mean + (fit.dew_coef ?? 0) * dew + offset.c - critical;
  const falls = a * q2 - (b * q1) / 2;
  if (falls === 0) return undefined;
  const turn = (b * q0 - (a * q1) / 2) / falls;
  const u = evening - mean;
  if (falls > 0 ? u <= turn : u >= turn) return undefined;
  const spread = error * Math.sqrt(q0 + q1 * turn + q2 * turn * turn);
  return tCdf(-(a + b * turn) / spread, n - (method === 'evening_only' ? 2 : 3));
}
