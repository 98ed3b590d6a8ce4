import type { RecordType } from '../../generated/api';
import { type Ask, together, type View } from '../../storage';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import { type PhotoView, type Shot, shotsOf } from './model';

/** Kinds that photos belong to and that are few; counts are many and read by stretches of days. */
const FEW = [
  'photo',
  'note',
  'treatment',
  'trap_catch',
  'damage',
  'crop',
  'crop_event',
  'culture',
  'soil_sample',
] as const satisfies readonly RecordType[];

/** Records that photos can be of, besides places. */
export const HOLD_PHOTOS: ReadonlySet<string> = new Set<string>([...FEW.slice(1), 'slug_count', 'station']);
export const PHOTO_TYPES: RecordType[] = [...FEW, 'place', 'station', 'slug_count'];

export interface PhotoData {
  /** Photos of counts are among them from this day on. */
  from: string;
  shots: Shot[];
  places: { id: string; label: string; archived: boolean }[];
  crops: { id: string; label: string; place_id: string }[];
  station: Map<string, string>;
}

/** Photos of everything, of counts those of the last `days` and those named. */
export async function loadPhotos(
  timeZone: string,
  days: number,
  counts_too: readonly string[] = [],
): Promise<PhotoData> {
  const from = dayPlus(localDay(new Date(), timeZone), -days);
  const { all, places, stations } = await together((ask) => read(from, counts_too, ask));
  const shots = shotsOf(
    all.map((view) => ({ ...view, body: known(view.body) }) as PhotoView),
    new Map(stations.map((view) => [view.id, view.body.place_id ?? ''])),
  );
  return {
    from,
    shots,
    places: places.map(({ id, body }) => ({ id, label: body.label ?? '', archived: body.archived === true })),
    crops: all
      .filter((view) => view.type === 'crop' && !view.body.ended_on)
      .map(({ id, body }) => ({
        id,
        label: [body.kind, body.variety].filter(Boolean).join(' '),
        place_id: String(body.place_id ?? ''),
      })),
    station: new Map(stations.map((view) => [view.id, view.body.label ?? ''])),
  };
}

/** In one transaction: on a slow phone each one more costs as much as its answer. */
async function read(from: string, counts_too: readonly string[], ask: Ask) {
  const [few, counts, places, stations] = await Promise.all([
    Promise.all(FEW.map((type) => ask.list(type))),
    ask.list('slug_count', { from }),
    ask.list('place'),
    ask.list('station'),
  ]);
  const flat = few.flat() as View[];
  const views = [...flat, ...counts.filter(({ body }) => body.photos?.length), ...places, ...stations];
  const here = new Set(views.map(({ id }) => id));
  const all: View[] = [...views, ...(await olderCounts(flat, counts_too, here, ask))];
  return { all, places, stations };
}

/** Living records that a photo's record names, or its person has open, and that are not read yet: older counts mostly. */
async function olderCounts(
  views: readonly View[],
  open: readonly string[],
  here: ReadonlySet<string>,
  ask: Ask,
): Promise<View[]> {
  const named = views.filter(({ type }) => type === 'photo').map(({ body }) => String(body.parent_id ?? ''));
  const missing = [...new Set([...named, ...open])].filter((id) => id !== '' && !here.has(id));
  const found = (await Promise.all(missing.map((id) => ask.get('slug_count', id)))) as (View | undefined)[];
  return found.filter((view): view is View => view !== undefined && !view.deleted);
}
