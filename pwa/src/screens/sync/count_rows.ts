import { type Ask, changes, type DateRange, oneByOne, together, type View } from '../../storage';
import { known } from '../forms/known';
import { dayPlus } from '../forms/local_time';
import type { CountRow } from './model';

/** Slug counts of some days in the form in which double counts are looked for. */
export async function countRows(range: DateRange, ask: Ask = oneByOne): Promise<CountRow[]> {
  const views = await ask.list('slug_count', range);
  return views.map((view) => ({
    ...known(view.body),
    id: view.id,
    ...(view.created_by_device ? { device: view.created_by_device } : {}),
  })) as CountRow[];
}

export interface Recent {
  counts: CountRow[];
  rounds: View<'round'>[];
  stations: View<'station'>[];
  places: View<'place'>[];
  crops: View<'crop'>[];
}

/** What is open and what was settled look at the same weeks: read once as long as nothing has changed. */
let kept: { told: number; since: string; read: Promise<Recent> } | undefined;

/**
 * Counts since a day, the rounds they belong to (those that began before midnight too), and what gives them their names:
 * in one transaction.
 */
export function recentCounts(since: string): Promise<Recent> {
  const told = changes.told();
  if (kept?.told === told && kept.since === since) return kept.read;
  const read = together((ask) => recent(since, ask));
  const mine = { told, since, read };
  kept = mine;
  read.catch(() => {
    if (kept === mine) kept = undefined;
  });
  return read;
}

async function recent(since: string, ask: Ask): Promise<Recent> {
  const [counts, rounds, stations, places, crops] = await Promise.all([
    countRows({ from: since }, ask),
    ask.list('round', { from: dayPlus(since, -1) }),
    ask.list('station'),
    ask.list('place'),
    ask.list('crop'),
  ]);
  return { counts, rounds, stations, places, crops };
}
