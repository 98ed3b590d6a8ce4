/** Nights of this plot as the phone knows them, without reading years of thermometers for a few evenings. */
import { type Ask, type DateRange, oneByOne } from '../../storage';
import { known } from '../forms/known';
import { dayPlus } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import type { PastReading } from '../readings/model';
import { type Meter, nightOf } from '../warnings/last_night';
import { isStill, type Night, nightsAt, type PastEvening } from './model';

/** Nights of so many days are looked through on the phone; the server knows the older ones. */
export const LOOKED_THROUGH = 730;
/** With more stretches than these one reading of all of it takes less time. */
const MOST_STRETCHES = 24;

/** Nights of one thermometer that a still evening and the minimum of the morning after tell of. */
export async function nightsHere(
  open: Meter,
  facts: Pick<PlotFacts, 'time_zone' | 'habit'>,
  night: string,
  ask: Ask = oneByOne,
): Promise<Night[]> {
  const first = dayPlus(night, -LOOKED_THROUGH);
  const records = await ask.list('evening', { from: dayPlus(first, -1) });
  const evenings = records.map(({ body }) => known(body) as PastEvening);
  const still = evenings.filter((evening) => evening.air && isStill(evening));
  const nights = still.map(({ observed_at }) => nightOf(observed_at, facts.time_zone));
  const readings = [];
  for (const stretch of stretchesOf(nights, first))
    readings.push(...(await ask.list('temperature', stretch)));
  return nightsAt(
    open,
    still,
    readings.map((reading) => ({ ...known(reading.body), id: reading.id }) as PastReading),
    { time_zone: facts.time_zone, habit: facts.habit },
  );
}

/**
 * Days whose readings decide about these nights: a minimum is credited to the day on which it was read, and left out if
 * the thermometer was last set back before the day before it (dayCredit). `first`: no earlier day is looked at.
 */
export function stretchesOf(nights: readonly string[], first: string): DateRange[] {
  const found: { from: string; to: string }[] = [];
  for (const night of [...new Set(nights)].sort()) {
    const from = night < first ? first : night;
    const to = dayPlus(night, 1);
    const last = found.at(-1);
    if (to < first) continue;
    if (last && from <= dayPlus(last.to, 1)) last.to = to;
    else found.push({ from, to });
  }
  const [begin, end] = [found[0], found.at(-1)];
  return begin && end && found.length > MOST_STRETCHES ? [{ from: begin.from, to: end.to }] : found;
}
