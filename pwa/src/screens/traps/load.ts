import { list } from '../../storage';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import { inWalkingOrder, isRetired } from '../plot/model';
import { celsius, type Quantity } from '../readings/model';
import type { BeetleCatch } from './beetles';
import { type Sample, speaksSince } from './evidence';
import { beetleDays } from './in_ground';
import { limitsOf } from './limits';
import type { Trap } from './model';

export interface BaitTrap extends Trap {
  bait?: string;
  depth_m?: number;
  note?: string;
}
export interface Bed {
  id: string;
  label: string;
  outline?: [number, number][];
}
/** The newest reading of a soil thermometer in a place. */
export interface SoilNow {
  celsius: number;
  day: string;
}

/** Kinds of place that carry crops; nobody baits a path. */
const BEDS: readonly unknown[] = ['bed', 'open_ground', 'tunnel', 'frame'];
/** An older reading says nothing of today's soil. */
const FRESH_DAYS = 3;

export type TrapData = Awaited<ReturnType<typeof load>>;
export const TRAP_TYPES = ['station', 'place', 'trap_catch', 'soil_sample', 'temperature', 'watch'] as const;

export async function load(timeZone: string, now: Date) {
  const today = localDay(now, timeZone);
  const [stations, places, catches, samples, readings, watches] = await Promise.all([
    list('station'),
    list('place'),
    list('trap_catch'),
    list('soil_sample', { from: speaksSince(today), to: today }),
    list('temperature', { from: dayPlus(today, -FRESH_DAYS), to: today }),
    list('watch'),
  ]);
  const all = stations.map((station) => ({ ...known(station.body), id: station.id }));
  const traps = inWalkingOrder(all.filter((station) => station.kind === 'bait_trap'));
  return {
    today,
    all: traps as BaitTrap[],
    traps: traps.filter((station) => !isRetired(station, today)) as BaitTrap[],
    beetle_traps: inWalkingOrder(
      all.filter((station) => station.kind === 'beetle_trap' && !isRetired(station, today)),
    ) as Trap[],
    beetle_days: beetleDays(watches.map(({ body }) => body)),
    n_stations: stations.length,
    placeLabel: new Map(places.map((place) => [place.id, place.body.label ?? ''])),
    beds: places
      .map(({ id, body }) => ({ ...known(body), id }) as Bed & { kind?: string; archived?: boolean })
      .filter((place) => BEDS.includes(place.kind) && place.archived !== true) as Bed[],
    catches: catches.map(
      (view) =>
        ({
          ...known(view.body),
          id: view.id,
          base: view.base,
          disputed: view.conflicts.length > 0,
        }) as BeetleCatch,
    ),
    samples: samples.map((view) => ({ ...known(view.body), id: view.id }) as Sample),
    soil: soilNow(
      readings.map(({ body }) => known(body)),
      new Map(
        all
          .filter(({ kind, exposure }) => kind === 'thermometer' && exposure === 'soil')
          .map(({ id, place_id }) => [id, place_id ?? '']),
      ),
      timeZone,
    ),
    limits: limitsOf(watches.map(({ id, body }) => ({ id, body }))),
  };
}

function soilNow(
  readings: readonly { station_id?: string; observed_at?: string; current?: Quantity }[],
  placeOf: ReadonlyMap<string, string>,
  timeZone: string,
): Map<string, SoilNow> {
  const found = new Map<string, SoilNow & { at: number }>();
  for (const { station_id, observed_at, current } of readings) {
    const place = placeOf.get(station_id ?? '');
    if (!place || !observed_at || !current) continue;
    const at = Date.parse(observed_at);
    if (at > (found.get(place)?.at ?? 0)) {
      found.set(place, { celsius: celsius(current), day: localDay(observed_at, timeZone), at });
    }
  }
  return found;
}
