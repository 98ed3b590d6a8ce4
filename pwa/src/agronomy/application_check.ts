/**
 * Is today right for watering in nematodes? Soil warmth, moisture, last dose, season and water nearby.
 *
 * UK suppliers' leaflets: soil 5 to 20 °C, 1 March to 31 October outdoors, about six weeks between doses, 3 m
 * from ponds, moist soil. Laboratory efficacy is poorest at 25 °C.
 */
import { choice, flag, integer, maybe, number, or, plain, read } from './input';

export type ApplicationCheckIn = {
  soil_c: number;
  moisture: 'dry' | 'damp' | 'wet';
  days_since_last?: number | null;
  under_cover?: boolean;
  month?: number | null;
  metres_to_water?: number | null;
};
export type ApplicationCheck = {
  verdict: 'go' | 'wait' | 'no';
  reasons: string[];
  cautions: string[];
  method: string;
  source: string;
};

const [COLDEST_C, WARM_C, HOTTEST_C] = [5, 20, 25];
const ACTIVE_DAYS = 42;
const POND_M = 3;
const SEASON = { from: 3, to: 10 };

/** The strongest verdict wins: `no` not under these conditions, `wait` it will come right; every reason is given. */
export function applicationCheck(input: ApplicationCheckIn): ApplicationCheck {
  const v = read(input, {
    soil_c: number({ min: -60, max: 80 }),
    moisture: choice('dry', 'damp', 'wet'),
    days_since_last: maybe(number({ min: 0, max: 1e5 })),
    under_cover: or(flag(), false),
    month: maybe(integer({ min: 1, max: 12 })),
    metres_to_water: maybe(number({ min: 0, max: 1e6 })),
  });
  const no: string[] = [];
  const wait: string[] = [];
  if (v.soil_c < COLDEST_C) no.push(`The soil is ${plain(v.soil_c)} °C; they need at least ${COLDEST_C} °C.`);
  else if (v.soil_c > HOTTEST_C)
    no.push(`The soil is ${plain(v.soil_c)} °C; above ${HOTTEST_C} °C they fail.`);
  else if (v.soil_c > WARM_C) {
    wait.push(
      `The soil is ${plain(v.soil_c)} °C; above ${WARM_C} °C they work poorly: wait for a cooler spell.`,
    );
  }
  if (v.moisture === 'dry') {
    no.push('The soil is dry: water it well first, and keep it moist for two weeks after (from memory).');
  }
  if (v.metres_to_water !== undefined && v.metres_to_water < POND_M) {
    no.push(`A pond is ${plain(v.metres_to_water)} m away; keep ${POND_M} m, for the sake of water snails.`);
  }
  if (v.month !== undefined && !v.under_cover && (v.month < SEASON.from || v.month > SEASON.to)) {
    no.push('Outdoors the season is March to October.');
  }
  if (v.days_since_last !== undefined && v.days_since_last < ACTIVE_DAYS) {
    wait.push(
      `The last application, ${plain(v.days_since_last)} days ago, is still active; it lasts about six weeks.`,
    );
  }
  const reasons = [...no, ...wait];
  return {
    verdict: no.length ? 'no' : wait.length ? 'wait' : 'go',
    reasons: reasons.length ? reasons : ['Soil warmth, moisture and timing are right.'],
    cautions: [
      'Water in at dusk or on a dull day, dissolve and use at once; follow the label.',
      'Gloves; wash hands; keep children and dogs away until it has soaked in.',
    ],
    method: 'limits, the strongest verdict wins',
    source:
      "UK suppliers' leaflets on slug nematodes (5 to 20 °C, March to October, 6 weeks, 3 m from ponds)",
  };
}
