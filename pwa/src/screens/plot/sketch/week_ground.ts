/** What lay, grew and was measured in each place by the end of a week: soil, wireworms, treatments, crops. Pure. */
import { dayPlus, daysBetween, localDay } from '../../forms/local_time';
import { celsius, type Quantity } from '../../readings/model';
import { type BedSummary, bedSummary, type Catch } from '../../traps/model';
import type { SketchStation } from './ground';
import type { Week } from './weeks';

export interface SoilReading {
  station_id: string;
  observed_at: string;
  current?: Quantity;
}
export interface SoilWeek {
  n: number;
  /** Degrees Celsius. */
  mean: number;
  low: number;
  high: number;
}

/** Readings of the thermometers in the soil of each place: what they showed when they were read. */
export function soilWeeks(
  readings: readonly SoilReading[],
  stations: readonly SketchStation[],
): Map<string, SoilWeek> {
  const placeOf = new Map(
    stations
      .filter((station) => station.kind === 'thermometer' && station.exposure === 'soil')
      .map((station) => [station.id, station.place_id]),
  );
  const values = new Map<string, number[]>();
  for (const { station_id, current } of readings) {
    const place = placeOf.get(station_id);
    if (place && current) values.set(place, [...(values.get(place) ?? []), celsius(current)]);
  }
  return new Map(
    [...values].map(([place, of]) => [
      place,
      {
        n: of.length,
        mean: of.reduce((sum, value) => sum + value, 0) / of.length,
        low: Math.min(...of),
        high: Math.max(...of),
      },
    ]),
  );
}

/** Older catches say little about the bed of today: the same year as on the Traps screen. */
export const TRAP_DAYS = 365;

export interface WormBed {
  summary: BedSummary;
  /** 1 is the bed with the lowest upper limit; none without a valid lift. */
  rank?: number;
}

/** What the valid lifts of the year before the week's end say of each place, and how the places stand. */
export function wormBeds(
  catches: readonly Catch[],
  stations: readonly SketchStation[],
  week: Week,
  timeZone: string,
): { beds: Map<string, WormBed>; n_ranked: number } {
  const placeOf = new Map(stations.map((station) => [station.id, station.place_id ?? '']));
  const lifts = new Map<string, Catch[]>();
  for (const lift of catches) {
    const place = placeOf.get(lift.station_id);
    if (!place || lift.observed_at === undefined) continue;
    const day = localDay(lift.observed_at, timeZone);
    if (day > week.to || day < dayPlus(week.to, -TRAP_DAYS)) continue;
    lifts.set(place, [...(lifts.get(place) ?? []), lift]);
  }
  const beds = new Map<string, WormBed>();
  for (const [place, of] of lifts) {
    const summary = bedSummary(of, timeZone);
    if (summary) beds.set(place, { summary });
  }
  const ranked = [...beds].filter(([, bed]) => bed.summary.high !== null);
  const limits = ranked.map(([, bed]) => bed.summary.high ?? 0);
  for (const [place, bed] of ranked) {
    const lower = limits.filter((limit) => limit < (bed.summary.high ?? 0)).length;
    beds.set(place, { ...bed, rank: lower + 1 });
  }
  return { beds, n_ranked: ranked.length };
}

export interface DoneTreatment {
  id: string;
  kind: string;
  day: string;
  place_ids: readonly string[];
  control_place_ids: readonly string[];
  product?: string;
  harvest_interval_days?: number;
  /** Days from it to the end of the shown week. */
  days_ago: number;
}
/** Nematodes are scored from day 7 to 42; what lies farther back is history, and stands in the sheet of its bed. */
export const TREATMENT_DAYS = 42;

/** What was done to each place in the six weeks up to the week's end, newest first. */
export function treatedBeds(
  treatments: readonly Omit<DoneTreatment, 'days_ago'>[],
  week: Week,
): Map<string, DoneTreatment[]> {
  const beds = new Map<string, DoneTreatment[]>();
  const shown = treatments
    .map((treatment) => ({ ...treatment, days_ago: daysBetween(treatment.day, week.to) }))
    .filter(({ days_ago }) => days_ago >= 0 && days_ago <= TREATMENT_DAYS)
    .sort((a, b) => a.days_ago - b.days_ago);
  for (const treatment of shown) {
    for (const place of treatment.place_ids) beds.set(place, [...(beds.get(place) ?? []), treatment]);
  }
  return beds;
}

export interface GrownCrop {
  id: string;
  place_id: string;
  kind: string;
  variety?: string;
  /** First day in this place. */
  from: string;
  /** Last day, when it was harvested or cleared. */
  to?: string;
}
export interface CropRecord {
  id: string;
  place_id?: string;
  kind?: string;
  variety?: string;
  started_on?: string;
  ended_on?: string;
}
export interface CropHappening {
  crop_id: string;
  what: string;
  day: string;
  place_id?: string;
}

/** What chitted, sown in trays or potted plants do not do is stand in the bed: these do. */
const IN_THE_GROUND = new Set(['sown', 'planted']);

/**
 * When each crop stood in its place: from planting (sowing, when it was never planted out) to its last harvest or
 * clearing. A crop with neither stands from the day it was begun.
 */
export function grownCrops(crops: readonly CropRecord[], events: readonly CropHappening[]): GrownCrop[] {
  const of = new Map<string, CropHappening[]>();
  for (const event of events) of.set(event.crop_id, [...(of.get(event.crop_id) ?? []), event]);
  return crops.flatMap((crop): GrownCrop[] => {
    const told = [...(of.get(crop.id) ?? [])].sort((a, b) => (a.day < b.day ? -1 : 1));
    const grounded = told.filter((event) => IN_THE_GROUND.has(event.what));
    const start = grounded.find((event) => event.what === 'planted') ?? grounded[0];
    const from = start?.day ?? crop.started_on;
    const place = crop.place_id ?? start?.place_id;
    if (!from || !place || !crop.kind) return [];
    const to = crop.ended_on ?? told.filter((event) => event.what === 'harvested').at(-1)?.day;
    return [
      {
        ...{ id: crop.id, place_id: place, kind: crop.kind, from },
        ...(crop.variety ? { variety: crop.variety } : {}),
        ...(to ? { to } : {}),
      },
    ];
  });
}

/** What stood in each place on some day of the week. */
export function croppedBeds(crops: readonly GrownCrop[], week: Week): Map<string, GrownCrop[]> {
  const beds = new Map<string, GrownCrop[]>();
  for (const crop of crops) {
    if (crop.from > week.to || (crop.to ?? week.from) < week.from) continue;
    beds.set(crop.place_id, [...(beds.get(crop.place_id) ?? []), crop]);
  }
  return beds;
}
