import type { RecordType } from '../../generated/api';
import { list } from '../../storage';
import { photoStates } from '../../storage/photos';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import { looseByDay } from './loose_photos';
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
  const [views, stations, places, photos, states] = await Promise.all([
    Promise.all(TYPES.map((type) => (WHOLE.has(type) ? list(type) : list(type, { from })))),
    list('station'),
    list('place'),
    list('photo'),
    photoStates(),
  ]);
  const all = views.flat().map((view) => ({ ...view, body: known(view.body) })) as DiaryView[];
  const of = (type: RecordType) => all.filter((view) => view.type === type);
  const crops = of('crop');
  return {
    from,
    loose: looseByDay(
      photos.map(({ body }) => ({ body: known(body) })),
      all,
      timeZone,
      from,
      new Set(places.map(({ id }) => id)),
    ),
    refused: new Set([...states].filter(([, state]) => state === 'broken').map(([sha]) => sha)),
    photos: photosOf([...photos.map(({ body }) => body), ...all.flatMap(refsOf)]),
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

type Ref = { sha256?: unknown; parent_id?: unknown };

/** Photos in the list of a record itself, as the round writes them. */
function refsOf({ id, body }: DiaryView): Ref[] {
  const { photos } = body as { photos?: { sha256?: unknown }[] };
  return Array.isArray(photos) ? photos.map((ref) => ({ sha256: ref?.sha256, parent_id: id })) : [];
}

/** The photos of each record, each once. */
function photosOf(refs: readonly Ref[]): ReadonlyMap<string, string[]> {
  const found = new Map<string, string[]>();
  for (const { sha256, parent_id } of refs) {
    const parent = String(parent_id ?? '');
    const known = found.get(parent) ?? [];
    if (typeof sha256 === 'string' && !known.includes(sha256)) found.set(parent, [...known, sha256]);
  }
  return found;
}
