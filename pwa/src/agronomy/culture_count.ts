/**
 * How strong is this culture? Nematodes per ml from counted drops, with the exact Poisson interval.
 *
 * Garwood 1936, Biometrika 28:437; whether the drops agree by the chi-squared test of dispersion.
 */
import { count, level, list, number, or, read } from './input';
import { garwood } from './poisson_interval';
import { incompleteGamma } from './special/gamma';

export type CultureCountIn = { aliquots: number[]; aliquot_ml: number; dilution?: number; level?: number };
export type CultureCount = {
  per_ml: number | null;
  low: number | null;
  high: number | null;
  total: number;
  counted_ml: number;
  dispersion_p: number | null;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

export function cultureCount(input: CultureCountIn): CultureCount {
  const v = read(input, {
    aliquots: list(count()),
    aliquot_ml: number({ min: 1e-6, max: 1e6 }),
    dilution: or(number({ min: 1, max: 1e9 }), 1),
    level: level(),
  });
  const n = v.aliquots.length;
  const total = v.aliquots.reduce((sum, x) => sum + x, 0);
  const p = dispersionP(v.aliquots, total);
  const perMl = (x: number): number | null => (n ? (x * v.dilution) / (n * v.aliquot_ml) : null);
  const [low, high] = garwood(total, v.level);
  const untested = 'Whether the drops agree cannot be tested: that needs two drops and one nematode.';
  return {
    per_ml: perMl(total),
    low: perMl(low),
    high: perMl(high),
    total,
    counted_ml: n * v.aliquot_ml,
    dispersion_p: p,
    why_not: n === 0 ? ['No drop was counted.'] : p === null ? [untested] : [],
    cautions: cautions(n, total, p),
    method: 'total over volume with the exact Poisson interval',
    source: 'Garwood 1936, Biometrika 28:437',
  };
}

/** Chance of drops as unequal as these in a well stirred culture. */
function dispersionP(aliquots: number[], total: number): number | null {
  if (aliquots.length < 2 || total === 0) return null;
  const mean = total / aliquots.length;
  const chi2 = aliquots.reduce((sum, x) => sum + (x - mean) ** 2, 0) / mean;
  return incompleteGamma((aliquots.length - 1) / 2, chi2 / 2).upper;
}

function cautions(n: number, total: number, p: number | null): string[] {
  const said = [
    'A count does not say what the worms are: most in a rotting brew feed on bacteria (from memory).',
  ];
  if (n > 0 && n < 3) said.push('Count at least three drops.');
  if (n > 0 && total < 30) {
    said.push(`Only ${total} counted: the interval is wide; count more drops.`);
  }
  if (p !== null && p < 0.05) {
    said.push('The drops differ more than chance allows: stir and count again; the interval is too narrow.');
  }
  return said;
}
