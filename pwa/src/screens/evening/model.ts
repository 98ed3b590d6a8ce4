/** The evening reading: what was typed, and the plot's own nights as the phone knows them. Pure. */
import { humidity, InputFault } from '../../agronomy';
import { dayPlus } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import { celsius, type PastReading, type Quantity, type TemperatureUnit } from '../readings/model';
import { minimaAt, nightOf } from '../warnings/last_night';

export type Moisture = 'wet' | 'dew' | 'humidity';
export interface EveningDraft {
  place_id: string;
  air: string;
  moisture: Moisture;
  moist: string;
  sky: '' | 'clear' | 'broken' | 'overcast';
  wind: '' | 'calm' | 'light' | 'windy';
  note: string;
}
export const EMPTY_EVENING: EveningDraft = {
  place_id: '',
  air: '',
  moisture: 'wet',
  moist: '',
  sky: '',
  wind: '',
  note: '',
};

export type Air =
  | { air_c: number; dew_c: number; wet_c: number; rh_percent: number; cautions: string[] }
  | { fault: string; field: 'air' | 'moist' };

/** Dew point and the rest from what was typed; `undefined` until both numbers are there. */
export function airOf(draft: EveningDraft, unit: TemperatureUnit): Air | undefined {
  const air = numberOf(draft.air);
  const moist = numberOf(draft.moist);
  if (air === undefined || moist === undefined) return undefined;
  const air_c = celsius({ value: air, unit });
  const given =
    draft.moisture === 'humidity'
      ? { rh_percent: moist }
      : draft.moisture === 'wet'
        ? { wet_c: celsius({ value: moist, unit }), psychrometer: 'natural' as const }
        : { dew_c: celsius({ value: moist, unit }) };
  try {
    const answer = humidity({ air_c, ...given });
    const { dew_c, wet_bulb_c, rh_percent, cautions } = answer;
    return { air_c, dew_c, wet_c: wet_bulb_c, rh_percent, cautions };
  } catch (error) {
    if (!(error instanceof InputFault)) throw error;
    return { fault: error.detail, field: error.pointer === '/air_c' ? 'air' : 'moist' };
  }
}

export interface PastEvening {
  observed_at: string;
  air?: Quantity;
  wet?: Quantity;
  dew?: Quantity;
  humidity_percent?: number;
  sky?: string;
  wind?: string;
}
export interface Night {
  evening_c: number;
  dew_c: number | undefined;
  min_c: number;
}

/** Clear and calm: the only nights whose drop says something about another such night. */
export function isStill(evening: Pick<PastEvening, 'sky' | 'wind'>): boolean {
  return evening.sky === 'clear' && (evening.wind === 'calm' || evening.wind === 'light');
}

/**
 * Nights of one thermometer: every still evening whose next morning's minimum was read there.
 * Minima that stood for several days, or may still fall, are left out.
 */
export function nightsAt(
  station: { id: string; offset?: Quantity },
  evenings: readonly PastEvening[],
  readings: readonly PastReading[],
  clock: { time_zone: string; habit: 'morning' | 'evening' },
): Night[] {
  const minima = minimaAt(station, readings, clock);
  return evenings.filter(isStill).flatMap((evening): Night[] => {
    const min_c = minima.get(dayPlus(nightOf(evening.observed_at, clock.time_zone), 1))?.min_c;
    if (min_c === undefined || !evening.air) return [];
    return [{ evening_c: celsius(evening.air), dew_c: undefined, min_c }];
  });
}

/** From so many nights on a plot speaks for itself (the calculation's own limit). */
export const ENOUGH_NIGHTS = 8;

/** The usual drop of own nights in the form that `frost-tonight` takes: minimum = evening + intercept. */
export function usualDrop(nights: readonly Night[]) {
  const n = nights.length;
  if (n < ENOUGH_NIGHTS) return { n };
  const drops = nights.map((night) => night.min_c - night.evening_c);
  const mean = drops.reduce((sum, drop) => sum + drop, 0) / n;
  const squares = drops.reduce((sum, drop) => sum + (drop - mean) ** 2, 0);
  const evenings = nights.map((night) => night.evening_c);
  return {
    n,
    method: 'mean_drop' as const,
    intercept: mean,
    evening_coef: 1,
    dew_coef: 0,
    rmse: Math.sqrt(squares / n),
    rmse_residual: Math.sqrt(squares / (n - 1)),
    evening_low_c: Math.min(...evenings),
    evening_high_c: Math.max(...evenings),
  };
}

/** Fields of the evening record, as typed. */
export function eveningSet(
  draft: EveningDraft,
  at: { observed_at: string; observer: string; unit: TemperatureUnit },
): Record<string, unknown> {
  const air = numberOf(draft.air);
  const moist = numberOf(draft.moist);
  const moisture =
    moist === undefined
      ? {}
      : draft.moisture === 'humidity'
        ? { humidity_percent: moist }
        : { [draft.moisture]: { value: moist, unit: at.unit } };
  return {
    ...(draft.place_id ? { place_id: draft.place_id } : {}),
    observed_at: at.observed_at,
    ...(air === undefined ? {} : { air: { value: air, unit: at.unit } }),
    ...moisture,
    ...(draft.sky ? { sky: draft.sky } : {}),
    ...(draft.wind ? { wind: draft.wind } : {}),
    observer: at.observer,
    ...(draft.note.trim() === '' ? {} : { note: draft.note.trim() }),
  };
}
