/** The facts of one week for every layer, from what was read off the phone. Pure. */
import type { TemperatureUnit } from '../../readings/model';
import type { SketchStation } from './ground';
import type { WeekRecords, Years } from './load';
import { type Mark, markOf, type WeekFacts } from './marks';
import type { Layer } from './scales';
import { croppedBeds, type GrownCrop, soilWeeks, treatedBeds, wormBeds } from './week_ground';
import { bedWeeks } from './week_slugs';

/** The first day with anything to show on a bed. */
export function firstDay(years: Years, crops: readonly GrownCrop[]): string | undefined {
  const days = [
    ...years.rounds.map((round) => round.day),
    ...years.treatments.map((treatment) => treatment.day),
    ...crops.map((crop) => crop.from),
  ];
  return days.reduce<string | undefined>(
    (first, day) => (first === undefined || day < first ? day : first),
    undefined,
  );
}

export function weekFacts(
  records: WeekRecords,
  years: Years,
  crops: readonly GrownCrop[],
  stations: readonly SketchStation[],
  timeZone: string,
): WeekFacts {
  const boards = stations.filter((station) => station.kind === 'slug_board');
  const traps = stations.filter((station) => station.kind === 'bait_trap');
  const worms = wormBeds(records.catches, traps, records.week, timeZone);
  return {
    slugs: bedWeeks(records.rounds, records.counts, boards, records.week.to),
    worms: worms.beds,
    n_ranked: worms.n_ranked,
    treated: treatedBeds(years.treatments, records.week),
    crops: croppedBeds(crops, records.week),
    soil: soilWeeks(records.readings, stations),
  };
}

export function marksOf(
  layer: Layer,
  placeIds: readonly string[],
  facts: WeekFacts | undefined,
  unit: TemperatureUnit,
): Map<string, Mark> {
  if (!facts) return new Map();
  return new Map(
    placeIds.flatMap((id) => {
      const mark = markOf(layer, id, facts, unit);
      return mark ? [[id, mark] as const] : [];
    }),
  );
}
