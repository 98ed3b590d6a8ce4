import { type DateRange, list } from '../../storage';
import { known } from '../forms/known';
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
