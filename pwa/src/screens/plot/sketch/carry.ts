/** Carries a step out, if the records still say what it stands on: nobody's work is replaced that was not seen. */
import type { RecordType } from '../../../generated/api';
import { type Gone, get, newId, type SaveItem, saveMany, type View } from '../../../storage';
import { known } from '../../forms/known';
import { asItem } from '../../forms/write';
import { placeHasRecords, stationHasRecords } from './has_records';
import { type Change, type Fields, reversed, type Step, stillSo } from './undo';

export interface Records {
  get: (type: RecordType, id: string) => Promise<View | undefined>;
  save: (items: readonly SaveItem[], gone: readonly Gone[]) => Promise<void>;
  /** Whether something was noted at what is to be removed. */
  isNoted: (change: Change) => Promise<boolean>;
}

const ON_PHONE: Records = { get, save: saveMany, isNoted };

/**
 * The new names of records that were made again; 'changed', with nothing written, when another phone's work came
 * since, be it while a finger held the thing. `again`: the step is one of the trail, taken back or done once more.
 */
export async function carryOut(
  step: Step,
  again: boolean,
  records: Records = ON_PHONE,
): Promise<Map<string, string> | 'changed'> {
  const { changes } = step;
  const views = new Map<string, View>();
  // Read from the disk and not from the screen, which may be a moment behind.
  for (const { type, id } of changes) {
    const view = await records.get(type, id);
    if (view && !view.deleted) views.set(id, view);
  }
  const now = (id: string) => {
    const view = views.get(id);
    return view && known(view.body);
  };
  // Two quick taps mean the same thing, and it is done.
  if (!again && stillSo(step, now)) return new Map();
  if (!stillSo(reversed(step), now)) return 'changed';
  const gone = changes.filter(({ after }) => after === undefined);
  if (again) for (const change of gone) if (await records.isNoted(change)) return 'changed';
  const names = new Map<string, string>();
  // A deleted id stays deleted for the other phones: what comes back gets a new one.
  for (const { id, before } of changes) if (again && before === undefined) names.set(id, newId());
  // What comes between this look and the writing is asked about by the server.
  const put = changes.flatMap(({ type, id, after }) =>
    after === undefined ? [] : [asItem(type, names.get(id) ?? id, after, views.get(id))],
  );
  await records.save(
    put,
    gone.flatMap(({ id }) => {
      const shown = views.get(id);
      return shown ? [{ id, shown }] : [];
    }),
  );
  return names;
}

async function isNoted({ type, id, before }: Change): Promise<boolean> {
  if (type === 'place') return await placeHasRecords(id);
  return type === 'station' && (await stationHasRecords({ ...(before as Fields), id }));
}
