import type { RecordType } from '../../generated/api';
import { list } from '../../storage';
import { photoStates } from '../../storage/photos';
import { known } from '../forms/known';
import { dayPlus, daysBetween, localDay } from '../forms/local_time';
import { looseByDay } from './loose_photos';
import { DIARY_TYPES, type DiaryView, momentOf } from './model';

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

const CUT = TYPES.filter((type) => !WHOLE.has(type));
/** How far back older records are sought, days: near first, where they nearly always are. Asking where nothing is costs nothing. */
const SOUGHT = [93, 400, 4_000, 40_000];

/** All that the diary shows or asks about: the last `days` of everything, all of what is told as a story. */
export async function load(timeZone: string, days: number) {
  const today = localDay(new Date(), timeZone);
  const from = dayPlus(today, -days);
  const [before, views, stations, places, photos, states] = await Promise.all([
    cutBefore(from, timeZone),
    Promise.all(TYPES.map((type) => (WHOLE.has(type) ? list(type) : list(type, { from })))),
    list('station'),
    list('place'),
    list('photo'),
    photoStates(),
  ]);
  const all = views.flat().map((view) => ({ ...view, body: known(view.body) })) as DiaryView[];
  const of = (type: RecordType) => all.filter((view) => view.type === type);
  const crops = of('crop');
  const inPlaces = new Set(places.map(({ id }) => id));
  const shots = photos.map(({ body }) => ({ body: known(body) }));
  const loose = [...looseByDay(shots, all, timeZone, inPlaces)];
  const moments = all.map(momentOf).filter((at) => at !== undefined);
  const written = [before, ...loose.map(([day]) => day), ...moments.map((at) => localDay(at, timeZone))];
  const next = written
    .filter((day) => day < from)
    .sort()
    .at(-1);
  return {
    from,
    /** So many days must be shown for the next older one to be among them; undefined where nothing is older. */
    older: next ? daysBetween(next, today) : undefined,
    loose: new Map(loose.filter(([day]) => day >= from)),
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
/** A day before `from` of a kind that is not read in full, the newest of the first kind that has one; else ''. */
async function cutBefore(from: string, timeZone: string): Promise<string> {
  let to = dayPlus(from, -1);
  for (const far of SOUGHT) {
    const since = dayPlus(from, -far);
    for (const type of CUT) {
      const at = (await list(type, { from: since, to })).at(-1)?.body.observed_at;
      if (at) return localDay(String(at), timeZone);
    }
    to = dayPlus(since, -1);
  }
  return '';
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
