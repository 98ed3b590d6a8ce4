import { list } from '../../storage';
import type { CountRow } from './model';

/** All slug counts in the form in which double counts are looked for. */
export async function countRows(): Promise<CountRow[]> {
  const views = await list('slug_count');
  return views.map((view) => ({
    ...view.body,
    id: view.id,
    ...(view.created_by_device ? { device: view.created_by_device } : {}),
  })) as CountRow[];
}
