/**
 * How many nematodes are in a millilitre of this brew? From counted drops, with exact Poisson limits.
 *
 * Garwood 1936, Biometrika 28:437. Whatever is counted is unidentified: most worms in a rotting brew may be
 * harmless bacterial feeders.
 */
import { count, level, list, number, or, read } from './input';
import { garwood } from './poisson_interval';

export type CultureCountIn = { aliquots: number[]; aliquot_ml: number; dilution?: number; level?: number };
export type CultureCount = {
  per_ml: number;
  low: number;
  high: number;
  cautions: string[];
  method: string;
  source: string;
};

export function cultureCount(input: CultureCountIn): CultureCount {
  const v = read(input, {
    aliquots: list(count(), 1),
    aliquot_ml: number({ above: 0 }),
    dilution: or(number({ min: 1 }), 1),
    level: level(),
  });
  const total = v.aliquots.reduce((sum, x) => sum + x, 0);
  const perMl = (x: number) => (x * v.dilution) / (v.aliquots.length * v.aliquot_ml);
  const [low, high] = garwood(total, v.level);
  return {
    per_ml: perMl(total),
    low: perMl(low),
    high: perMl(high),
    cautions: [],
    method: 'total over volume, exact Poisson limits',
    source: 'Garwood 1936, Biometrika 28:437',
  };
}
