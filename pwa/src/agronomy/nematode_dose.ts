/**
 * How many nematodes, how much brew, how many packs for this area?
 *
 * 300,000 per m² for about six weeks is the dose of UK horticultural distributors' instructions.
 */
import { maybe, number, or, read } from './input';

export type NematodeDoseIn = { area_m2: number; per_m2?: number; per_ml?: number; pack?: number };
export type NematodeDose = {
  nematodes: number;
  culture_ml: number | null;
  culture_ml_per_m2: number | null;
  packs: number | null;
  method: string;
  source: string;
};

export function nematodeDose(input: NematodeDoseIn): NematodeDose {
  const positive = number({ above: 0 });
  const v = read(input, {
    area_m2: positive,
    per_m2: or(positive, 300_000),
    per_ml: maybe(positive),
    pack: maybe(positive),
  });
  const nematodes = v.area_m2 * v.per_m2;
  return {
    nematodes,
    culture_ml: v.per_ml === undefined ? null : nematodes / v.per_ml,
    culture_ml_per_m2: v.per_ml === undefined ? null : v.per_m2 / v.per_ml,
    packs: v.pack === undefined ? null : Math.ceil(nematodes / v.pack),
    method: 'dose times area',
    source: "distributors' instructions (300,000 per m²)",
  };
}
