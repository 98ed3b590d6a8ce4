import type { RecordType } from '../../generated/api';
import { list } from '../../storage';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import { DIARY_TYPES, type DiaryView } from './model';

export const TYPES = DIARY_TYPES as RecordType[];
/**
 * Kinds read in full and cut by day afterwards: those whose moment is not `observed_at`, and those whose story
 * goes back further than a month. They are few.
 */
const WHOLE = new Set<RecordType>([
  'crop',
  'crop_event',
  'culture',
  'soil_sample',
  'trap_catch',
  'treatment',
]);

/** All that the diary shows or asks about: the last `days` of everything, all of what is told as a story. */
export async function load(timeZone: string, days: number) {
  const from = dayPlus(localDay(new Date(), timeZone), -days);
  const [views, stations, places] = await Promise.all([
    Promise.all(TYPES.map((type) => (WHOLE.has(type) ? list(type) : list(type, { from })))),
    list('station'),
    list('place'),
  ]);
  const all = views.flat().map((view) => ({ ...view, body: known(view.body) })) as DiaryView[];
  const of = (type: RecordType) => all.filter((view) => view.type === type);
  const crops = of('crop');
  return {
    from,
    views: all,
    crops,
    events: of('crop_event'),
    cultures: of('culture'),
    treatments: of('treatment'),
    samples: of('soil_sample'),
    station: new Map(stations.map((view) => [view.id, view.body.label ?? ''])),
    places: places.map((view) => ({ ...known(view.body), id: view.id, label: view.body.label ?? '' })),
    crop: new Map(
      crops.map((view) => [view.id, [view.body.kind, view.body.variety].filter(Boolean).join(' ')]),
    ),
  };
}
export type DiaryData = Awaited<ReturnType<typeof load>>;
