/**
 * If wireworms are there, how likely is it that the samples find none?
 *
 * Zero terms of the two laws: Poisson exp(-n m); clumped (negative binomial, k per sample) (1 + m/k)^(-k n),
 * m = what one sample finds on average. Southwood, Ecological Methods (from memory).
 */
import { N_UNITS, RECOVERY, SQUARE_METRES_PER_HECTARE, UNIT_AREA, unitArea } from './effort';
import { InputFault, maybe, number, read } from './input';

export type MissChanceIn = {
  per_ha?: number;
  mean_per_unit?: number;
  n_units: number;
  unit_area_m2?: number;
  core_diameter_m?: number;
  recovery?: number;
  k?: number;
};
export type MissChance = {
  p_miss: number;
  mean_found_per_unit: number;
  cautions: string[];
  method: string;
  source: string;
};

export function missChance(input: MissChanceIn): MissChance {
  const v = read(input, {
    n_units: N_UNITS,
    per_ha: maybe(number({ min: 0 })),
    mean_per_unit: maybe(number({ min: 0, max: 1e9 })),
    ...UNIT_AREA,
    recovery: RECOVERY,
    k: maybe(number({ min: 1e-9 })),
  });
  const mean = meanFound(v);
  const log = v.k === undefined ? -mean : -v.k * Math.log1p(mean / v.k);
  return {
    p_miss: Math.exp(v.n_units * log),
    mean_found_per_unit: mean,
    cautions:
      v.k === undefined ? ['Larvae are taken to lie at random; when they clump, a miss is likelier.'] : [],
    method: 'zero term of the Poisson or negative binomial law',
    source:
      'zero terms of the Poisson and negative binomial laws; Southwood, Ecological Methods (from memory)',
  };
}

type MeanParts = { [K in keyof MissChanceIn]?: MissChanceIn[K] | undefined } & { recovery: number };

/** Larvae that one sample finds on average, from a density or as given. */
function meanFound(v: MeanParts): number {
  if (v.mean_per_unit !== undefined) {
    const extra = (['per_ha', 'unit_area_m2', 'core_diameter_m'] as const).find(
      (key) => v[key] !== undefined,
    );
    if (extra) throw new InputFault(`/${extra}`, 'This has no part in a mean per sample; leave it out.');
    return v.mean_per_unit * v.recovery;
  }
  if (v.per_ha === undefined) throw new InputFault('/per_ha', 'Give per_ha or mean_per_unit.');
  return (v.per_ha / SQUARE_METRES_PER_HECTARE) * unitArea(v) * v.recovery;
}
