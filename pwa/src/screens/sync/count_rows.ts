import { changes, type DateRange, list, type View } from '../../storage';
import { known } from '../forms/known';
import { dayPlus } from '../forms/local_time';
import type { CountRow } from './model';

/** Slug counts of some days in the form in which double counts are looked for. */
export async function countRows(range: DateRange): Promise<CountRow[]> {
  const views = await list('slug_count', range);
  return views.map((view) => ({
    ...known(view.body),
    id: view.id,
    ...(view.created_by_device ? { device: view.created_by_device } : {}),
  })) as CountRow[];
}

export interface Recent {
  counts: CountRow[];
  rounds: View<'round'>[];
}

/** What is open and what was settled look at the same weeks: read once as long as nothing has changed. */
let kept: { told: number; since: string; read: Promise<Recent> } | undefined;

/** Counts since a day, and the rounds they belong to: those that began before midnight too. */
export function recentCounts(since: string): Promise<Recent> {
  const told = changes.told();
  if (kept?.told === told && kept.since === since) return kept.read;
  const read = Promise.all([countRows({ from: since }), list('round', { from: dayPlus(since, -1) })]).then(
    ([counts, rounds]) => ({ counts, rounds }),
  );
  const mine = { told, since, read };
  kept = mine;
  read.catch(() => {
    if (kept === mine) kept = undefined;
  });
  return read;
}
