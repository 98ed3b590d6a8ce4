/**
 * How likely is it that wireworms are there and the samples show none?
 *
 * Poisson: P0 = exp(-n m). Clumped (negative binomial, k per unit): P0 = (1 + m/k)^(-k n), from memory of
 * Southwood, Ecological Methods. m = expected finds per unit.
 */
import { N_UNITS, RECOVERY, SQUARE_METRES_PER_HECTARE, UNIT_AREA, unitArea } from './effort';
import { InputFault, maybe, number, or, read } from './input';

export type MissChanceIn = {
  per_ha?: number;
  mean_per_unit?: number;
  n_units: number;
  unit_area_m2?: number;
  core_diameter_m?: number;
  recovery?: number;
  k?: number;
};
export type MissChance = { p_miss: number; method: string; source: string };

export function missChance(input: MissChanceIn): MissChance {
  const v = read(input, {
    per_ha: maybe(number({ min: 0 })),
    mean_per_unit: maybe(number({ min: 0 })),
    n_units: N_UNITS,
    ...UNIT_AREA,
    recovery: or(RECOVERY, 1),
    k: maybe(number({ above: 0 })),
  });
  const mean = meanPerUnit(v);
  const log = v.k === undefined ? -mean : -v.k * Math.log1p(mean / v.k);
  return {
    p_miss: Math.exp(v.n_units * log),
    method: v.k === undefined ? 'zero term of the Poisson law' : 'zero term of the negative binomial law',
    source: 'Southwood, Ecological Methods (from memory)',
  };
}

type MeanParts = { [K in keyof MissChanceIn]?: MissChanceIn[K] | undefined } & { recovery: number };

function meanPerUnit(v: MeanParts): number {
  if (v.mean_per_unit !== undefined) {
    if (v.per_ha !== undefined) throw new InputFault('/per_ha', 'Give per_ha or mean_per_unit, not both.');
    return v.mean_per_unit;
  }
  if (v.per_ha === undefined) throw new InputFault('/per_ha', 'Give per_ha or mean_per_unit.');
  return (v.per_ha / SQUARE_METRES_PER_HECTARE) * unitArea(v) * v.recovery;
}
