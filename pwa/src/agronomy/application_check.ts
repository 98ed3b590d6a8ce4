/**
 * Is tonight right for slug nematodes? Soil temperature, moisture, last dose, season and water nearby.
 *
 * Limits from the instructions of UK suppliers: soil 5 to 20 °C, poorest at 25 °C in the laboratory (Grewal &
 * Grewal 2003, J. Parasitol. 89:434); outdoors March to October; again after six weeks; 3 m from ponds.
 */
import { choice, flag, integer, maybe, number, or, read } from './input';

export type ApplicationCheckIn = {
  soil_c: number;
  moisture: 'dry' | 'damp' | 'wet';
  days_since_last?: number;
  under_cover?: boolean;
  month?: number;
  metres_to_water?: number;
};
export type ApplicationCheck = {
  verdict: 'go' | 'wait' | 'no';
  reasons: string[];
  method: string;
  source: string;
};

export function applicationCheck(input: ApplicationCheckIn): ApplicationCheck {
  const v = read(input, {
    soil_c: number({ min: -20, max: 60 }),
    moisture: choice('dry', 'damp', 'wet'),
    days_since_last: maybe(number({ min: 0, max: 36500 })),
    under_cover: or(flag, false),
    month: maybe(integer({ min: 1, max: 12 })),
    metres_to_water: maybe(number({ min: 0 })),
  });
  const no: string[] = [];
  const wait: string[] = [];
  const go: string[] = [];
  if (v.soil_c > 25) no.push('The soil is above 25 °C, too hot for them.');
  if (v.metres_to_water !== undefined && v.metres_to_water < 3) no.push('Keep 3 m from ponds.');
  if (v.soil_c < 5) wait.push('The soil is below 5 °C: wait for warmth.');
  else if (v.soil_c > 20 && v.soil_c <= 25) go.push('The soil is above 20 °C: expect less of them.');
  if (v.moisture === 'dry') wait.push('The soil is dry: water it first.');
  if (v.days_since_last !== undefined && v.days_since_last < 42) wait.push('The last dose is still active.');
  if (!v.under_cover && v.month !== undefined && (v.month < 3 || v.month > 10)) {
    wait.push('Outdoors the season is March to October.');
  }
  const verdict = no.length ? 'no' : wait.length ? 'wait' : 'go';
  return {
    verdict,
    reasons: [...no, ...wait, ...go],
    method: "suppliers' limits",
    source: 'instructions of UK suppliers',
  };
}
