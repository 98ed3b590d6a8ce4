/** What the sketch reads from the phone: the whole ground, and one week of what was seen on it. */
import { list, listBy, type View } from '../../../storage';
import { known } from '../../forms/known';
import { dayPlus, localDay } from '../../forms/local_time';
import type { Catch } from '../../traps/model';
import type { CropHappening, CropRecord, DoneTreatment, SoilReading } from './week_ground';
import { TRAP_DAYS } from './week_ground';
import type { TurnedBoard, WalkedRound } from './week_slugs';
import type { Week } from './weeks';

const text = (value: unknown): string => (typeof value === 'string' ? value : '');

/** Rounds, treatments and crops of all years: few enough to have at hand while the slider moves. */
export async function loadYears(timeZone: string) {
  const [rounds, treatments, crops, events] = await Promise.all([
    list('round'),
    list('treatment'),
    list('crop'),
    list('crop_event'),
  ]);
  const day = (at: unknown) => localDay(text(at), timeZone);
  return {
    rounds: rounds
      .filter((round) => round.body.kind === 'dawn' && round.body.observed_at)
      .map((round): WalkedRound => {
        return { id: round.id, day: day(round.body.observed_at), valid: round.body.valid !== false };
      }),
    treatments: treatments
      .filter((view) => view.body.observed_at)
      .map((view): Omit<DoneTreatment, 'days_ago'> => {
        const body = known(view.body);
        return {
          id: view.id,
          kind: text(body.kind),
          day: day(body.observed_at),
          place_ids: body.place_ids ?? [],
          control_place_ids: body.control_place_ids ?? [],
          ...(body.product ? { product: body.product } : {}),
          ...(body.harvest_interval_days === undefined
            ? {}
            : { harvest_interval_days: body.harvest_interval_days }),
        };
      }),
    crops: crops.map((view) => ({ ...known(view.body), id: view.id }) as CropRecord),
    events: events
      .filter((view) => view.body.observed_at && view.body.crop_id)
      .map((view): CropHappening => {
        const { crop_id, what, place_id } = known(view.body);
        return {
          crop_id: text(crop_id),
          what: text(what),
          day: day(view.body.observed_at),
          ...(place_id ? { place_id } : {}),
        };
      }),
  };
}
export type Years = Awaited<ReturnType<typeof loadYears>>;

/** Counts of the week's rounds, the soil of the week, and the trap lifts of the year before its end. */
export async function loadWeek(week: Week, rounds: readonly WalkedRound[]) {
  const inWeek = rounds.filter((round) => round.day >= week.from && round.day <= week.to);
  const [counts, readings, catches] = await Promise.all([
    Promise.all(inWeek.map((round) => listBy('slug_count', 'round_id', round.id))),
    list('temperature', { from: week.from, to: week.to }),
    list('trap_catch', { from: dayPlus(week.to, -TRAP_DAYS), to: week.to }),
  ]);
  return {
    week,
    rounds: inWeek,
    counts: counts.flat().map(marked) as TurnedBoard[],
    readings: readings.map((view) => known(view.body) as unknown as SoilReading),
    catches: catches.map((view) => {
      return { ...known(view.body), id: view.id, disputed: view.conflicts.length > 0 } as Catch;
    }),
  };
}
export type WeekRecords = Awaited<ReturnType<typeof loadWeek>>;

function marked(view: View<'slug_count'>) {
  return { ...known(view.body), id: view.id, conflicted: view.conflicts.length > 0 };
}
