/**
 * What does the catch of wheat baits mean, by the old rule of thumb?
 *
 * 20,000 per acre for each wireworm per bait trap: common practice, no source. It always stands beside the
 * interval of the catch per trap, for no regression from bait catch to density is established.
 */
import { N_UNITS, SQUARE_METRES_PER_ACRE, SQUARE_METRES_PER_HECTARE } from './effort';
import { count, read } from './input';
import { garwood } from './poisson_interval';

const PER_ACRE_PER_CATCH = 20_000;

export type TrapThumbIn = { caught: number; n_traps: number };
export type TrapThumb = {
  per_trap: number;
  low_per_trap: number;
  high_per_trap: number;
  per_acre: number;
  per_ha: number;
  cautions: string[];
  method: string;
  source: string;
};

export function trapThumb(input: TrapThumbIn): TrapThumb {
  const v = read(input, { caught: count(), n_traps: N_UNITS });
  const [low, high] = garwood(v.caught, 0.95);
  const perAcre = (v.caught / v.n_traps) * PER_ACRE_PER_CATCH;
  return {
    per_trap: v.caught / v.n_traps,
    low_per_trap: low / v.n_traps,
    high_per_trap: high / v.n_traps,
    per_acre: perAcre,
    per_ha: (perAcre * SQUARE_METRES_PER_HECTARE) / SQUARE_METRES_PER_ACRE,
    cautions: [
      'This is a rule of thumb: no regression from bait catch to density is established.',
      'Traps count only when the soil was above 8 °C, moist and bare, and they lay 10 to 14 days.',
      ...(v.caught === 0 ? ['A nil catch is not a clean bed: read the upper limit.'] : []),
    ],
    method:
      '20,000 per acre for each wireworm per bait trap; exact 95 % Poisson limits of the catch per trap',
    source: 'common practice, no source',
  };
}
