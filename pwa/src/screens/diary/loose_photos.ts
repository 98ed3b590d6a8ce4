/** Photos in the diary that belong to no entry of theirs: of a place, of a crop as a whole, or of the plot. Pure. */
import { localDay } from '../forms/local_time';
import type { Day, DiaryView } from './model';

export interface LoosePhotos {
  shas: string[];
  /** Places they are of, each once; empty for the plot as a whole. */
  place_ids: string[];
  /** Some are of none of these: of the plot, or of a record that was removed. */
  elsewhere?: true;
}
export type DayWithPhotos = Day & { loose?: LoosePhotos };

/** Kinds whose entry stands on one day, while photos of them come from all the days after. */
const LONG = new Set(['crop', 'culture']);

type Photo = Pick<DiaryView, 'body'>;

/** By local day. */
export function looseByDay(
  photos: readonly Photo[],
  views: readonly DiaryView[],
  timeZone: string,
  places: ReadonlySet<string>,
): Map<string, LoosePhotos> {
  const byId = new Map(views.map((view) => [view.id, view]));
  const days = new Map<string, LoosePhotos>();
  for (const { body } of photos) {
    const parent = byId.get(String(body.parent_id ?? ''));
    const { sha256 } = body;
    const at = String(body.taken_at ?? body.observed_at ?? '');
    if (typeof sha256 !== 'string' || Number.isNaN(Date.parse(at))) continue;
    if (parent && !LONG.has(parent.type)) continue;
    const day = localDay(at, timeZone);
    const of = days.get(day) ?? { shas: [], place_ids: [] };
    const named = String((parent ? parent.body.place_id : body.parent_id) ?? '');
    const place = places.has(named) ? named : '';
    days.set(day, {
      ...of,
      shas: added(of.shas, sha256),
      place_ids: added(of.place_ids, place),
      ...(place ? {} : { elsewhere: true as const }),
    });
  }
  return days;
}

function added(list: string[], value: unknown): string[] {
  return typeof value !== 'string' || value === '' || list.includes(value) ? list : [...list, value];
}

/** The days of the diary with these among them, newest first. */
export function withLoose(days: readonly Day[], loose: ReadonlyMap<string, LoosePhotos>): DayWithPhotos[] {
  const known = new Set(days.map(({ day }) => day));
  const more = [...loose].filter(([day]) => !known.has(day)).map(([day]) => ({ day, entries: [] }));
  return [...days, ...more]
    .sort((a, b) => b.day.localeCompare(a.day))
    .map((day) => {
      const of = loose.get(day.day);
      return of ? { ...day, loose: of } : day;
    });
}
