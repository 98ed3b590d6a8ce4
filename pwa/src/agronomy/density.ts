/**
 * How many wireworms per hectare do these finds mean? Finds over the area searched and the share recovered.
 *
 * Limits are exact Poisson (Garwood 1936, Biometrika 28:437). Recovery by hand sorting was near 0.4 and by
 * washing 0.95 to 1 in the survey of Ann. appl. Biol. 1945, 32:148.
 */
import {
  N_UNITS,
  RECOVERY,
  SQUARE_METRES_PER_ACRE,
  SQUARE_METRES_PER_HECTARE,
  UNIT_AREA,
  unitArea,
} from './effort';
import { count, level, read } from './input';
import { garwood } from './poisson_interval';

export type DensityIn = {
  found: number;
  n_units: number;
  unit_area_m2?: number;
  core_diameter_m?: number;
  recovery?: number;
  level?: number;
};
export type Density = {
  area_m2: number;
  per_m2: number;
  low_per_m2: number;
  high_per_m2: number;
  per_ha: number;
  low_per_ha: number;
  high_per_ha: number;
  per_acre: number;
  one_find_per_ha: number;
  upper_one_sided_per_ha: number;
  cautions: string[];
  method: string;
  source: string;
};

export function density(input: DensityIn): Density {
  const v = read(input, {
    found: count(),
    n_units: N_UNITS,
    ...UNIT_AREA,
    recovery: RECOVERY,
    level: level(),
  });
  const area = v.n_units * unitArea(v);
  const perM2 = (x: number) => x / (area * v.recovery);
  const perHa = (x: number) => perM2(x) * SQUARE_METRES_PER_HECTARE;
  const [low, high] = garwood(v.found, v.level);
  const cautions: string[] = [];
  if (v.found === 0) {
    cautions.push('Nothing found is not nothing there: read the upper limit, and the chance of a miss.');
  }
  if (v.recovery === 1) {
    cautions.push('Recovery is taken as complete; hand sorting finds only about 2 in 5 larvae (0.4).');
  }
  return {
    area_m2: area,
    per_m2: perM2(v.found),
    low_per_m2: perM2(low),
    high_per_m2: perM2(high),
    per_ha: perHa(v.found),
    low_per_ha: perHa(low),
    high_per_ha: perHa(high),
    per_acre: perM2(v.found) * SQUARE_METRES_PER_ACRE,
    one_find_per_ha: perHa(1),
    upper_one_sided_per_ha: perHa(garwood(v.found, v.level, 'upper')[1]),
    cautions,
    method: 'finds over area searched and recovery, exact Poisson limits',
    source: 'Garwood 1936, Biometrika 28:437',
  };
}
