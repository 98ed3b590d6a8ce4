/**
 * How many nematodes, and how much culture, does this area need?
 *
 * Dose of a UK horticultural distributor: 300,000 per m² lasts about six weeks, 150,000 every 2 to 6 weeks,
 * 50,000 every 2 to 4 weeks three times; 30 million treat 100 m².
 */
import { maybe, number, or, read } from './input';

export type NematodeDoseIn = { area_m2: number; per_m2?: number; per_ml?: number; pack?: number };
export type NematodeDose = {
  nematodes: number;
  culture_ml: number | null;
  culture_ml_per_m2: number | null;
  packs: number | null;
  packs_exact: number | null;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

const FULL_DOSE_PER_M2 = 300_000;
const WEAKEST_DOSE_PER_M2 = 50_000;

export function nematodeDose(input: NematodeDoseIn): NematodeDose {
  const v = read(input, {
    area_m2: number({ min: 0, max: 1e8 }),
    per_m2: or(number({ above: 0, max: 1e9 }), FULL_DOSE_PER_M2),
    per_ml: maybe(number({ min: 1e-3, max: 1e9 })),
    pack: maybe(number({ min: 1 })),
  });
  const nematodes = v.area_m2 * v.per_m2;
  const why: string[] = [];
  const cautions = ['Follow the label of a bought product.'];
  if (v.per_ml === undefined) {
    why.push('No strength of the culture (per_ml) was given, so there is no volume.');
  } else {
    cautions.push(
      'A home brew is unidentified and unproven: keep an untreated control, wear gloves, wash hands, keep it off leaves to be eaten, and do not move or sell it.',
    );
  }
  if (v.pack === undefined) why.push('No pack size was given, so there is no number of packs.');
  if (v.per_m2 < WEAKEST_DOSE_PER_M2) {
    cautions.push('Below 50,000 per m², the weakest dose that is published.');
  }
  return {
    nematodes,
    culture_ml: v.per_ml === undefined ? null : nematodes / v.per_ml,
    culture_ml_per_m2: v.per_ml === undefined ? null : v.per_m2 / v.per_ml,
    packs: v.pack === undefined ? null : Math.ceil(nematodes / v.pack),
    packs_exact: v.pack === undefined ? null : nematodes / v.pack,
    why_not: why,
    cautions,
    method: 'area times dose; culture by its counted strength; whole packs',
    source: "UK horticultural distributor's dose table (300,000 per m² for about six weeks)",
  };
}
