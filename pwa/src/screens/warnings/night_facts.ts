/** From a warning of frost and the phone's own records to the picture of its night. */
import { spotOf, sunOn } from '../../domain/daylight';
import { list, type View } from '../../storage';
import { dayPlus } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { celsius } from '../readings/model';
import { nightOf, nightWarned } from './last_night';
import type { NightFacts } from './night_drawing';
import { outcomeOf } from './words';
import { worstOf } from './worst';

const HOUR = 3_600_000;

/** Undefined for warnings of other things, and where the phone lacks the evening or the sun of the plot. */
export async function nightFactsOf(view: View<'warning'>, facts: PlotFacts): Promise<NightFacts | undefined> {
  const { rule, numbers } = view.body;
  const night = nightWarned(view.body, facts.time_zone);
  const worst = worstOf(numbers);
  if (outcomeOf(rule) !== 'froze' || !night || worst.min_c === undefined) return undefined;
  const read = number(numbers?.evening_c) ?? (await eveningOf(night, facts));
  const sun = sunOfNight(night, facts);
  if (read === undefined || !sun) return undefined;
  // The place is as much colder or warmer all night as it is at its lowest.
  const evening_c = read + worst.offset_c;
  return {
    evening_c,
    min_c: Math.min(worst.min_c, evening_c),
    low_c: worst.low_c ?? null,
    high_c: worst.high_c ?? null,
    line_c: worst.line_c,
    ...sun,
  };
}

/** Sunset of a night and the sunrise after it. */
export function sunOfNight(night: string, facts: PlotFacts): { sunset: number; sunrise: number } | undefined {
  const spot = facts.plot && spotOf(facts.plot.body);
  if (!spot) return undefined;
  const { set } = sunOn(night, spot);
  const { rise } = sunOn(dayPlus(night, 1), spot);
  if (set === null || rise === null || rise - set < 3 * HOUR) return undefined;
  return { sunset: set, sunrise: rise };
}

async function eveningOf(night: string, facts: PlotFacts): Promise<number | undefined> {
  const evenings = await list('evening', { from: night, to: dayPlus(night, 1) });
  const last = evenings.findLast(
    ({ body }) => body.observed_at && body.air && nightOf(body.observed_at, facts.time_zone) === night,
  );
  return last?.body.air && celsius(last.body.air);
}

function number(value: unknown): number | undefined {
  return typeof value === 'number' ? value : undefined;
}
