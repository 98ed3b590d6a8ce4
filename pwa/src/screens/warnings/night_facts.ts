/** From a warning of frost and the phone's own records to the picture of its night. */
import { spotOf, sunOn } from '../../domain/daylight';
import { list, type View } from '../../storage';
import { dayPlus } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { celsius } from '../readings/model';
import { nightOf, nightWarned } from './last_night';
import { lineOf } from './model';
import type { NightFacts } from './night_drawing';
import { outcomeOf } from './words';

const HOUR = 3_600_000;

/** Undefined for warnings of other things, and where the phone lacks the evening or the sun of the plot. */
export async function nightFactsOf(view: View<'warning'>, facts: PlotFacts): Promise<NightFacts | undefined> {
  const { rule, numbers } = view.body;
  const night = nightWarned(view.body, facts.time_zone);
  const min_c = number(numbers?.min_c);
  if (outcomeOf(rule) !== 'froze' || !night || min_c === undefined) return undefined;
  const evening_c = number(numbers?.evening_c) ?? (await eveningOf(night, facts));
  const sun = sunOfNight(night, facts);
  if (evening_c === undefined || !sun) return undefined;
  return {
    evening_c,
    min_c: Math.min(min_c, evening_c),
    low_c: number(numbers?.low_c) ?? null,
    high_c: number(numbers?.high_c) ?? null,
    line_c: lineOf(numbers),
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
