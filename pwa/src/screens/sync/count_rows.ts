import { list } from '../../storage';
import { known } from '../forms/known';
import type { CountRow } from './model';

/** All slug counts in the form in which double counts are looked for. */
export async function countRows(): Promise<CountRow[]> {
  const views = await list('slug_count');
  return views.map((view) => ({
    ...known(view.body),
    id: view.id,
    ...(view.created_by_device ? { device: view.created_by_device } : {}),
  })) as CountRow[];
}
