/** Photos as they are looked through: what each is of, where and when. Pure. */
import type { RecordType } from '../../generated/api';
import type { Base, Shown } from '../../storage';
import { daysBetween, localDay, momentAt } from '../forms/local_time';
import type { CameraTime } from './exif_time';

export interface PhotoView {
  id: string;
  type: string;
  body: Record<string, unknown>;
  pending?: boolean;
  base?: Base;
}

/** A photo of something. The same picture of two things is two shots. */
export interface Shot {
  key: string;
  sha256: string;
  bytes?: number;
  /** When it was taken; else when that was seen which it is of. '' when neither is known. */
  at: string;
  caption: string;
  observer: string;
  parent_id?: string;
  parent?: PhotoView;
  place_ids: readonly string[];
  /** Its record, which holds the caption. */
  record_id?: string;
  base?: Base;
  /** It stands in the list of photos of its parent. */
  listed: boolean;
  /** The record that it belongs to was removed; the photo stays until somebody removes it too. */
  orphan: boolean;
  pending: boolean;
}

type Ref = { sha256: string; bytes?: number };

const text = (value: unknown): string => (typeof value === 'string' ? value : '');

function refsOf(view: PhotoView): Ref[] {
  const { photos } = view.body;
  return Array.isArray(photos) ? photos.filter((ref) => typeof ref?.sha256 === 'string') : [];
}

const momentOf = ({ body }: PhotoView): string =>
  text(body.taken_at) || text(body.observed_at) || text(body.set_at) || text(body.started_at);

/** Every photo that the records name, newest first. */
export function shotsOf(views: readonly PhotoView[], stationPlace: ReadonlyMap<string, string>): Shot[] {
  const byId = new Map(views.map((view) => [view.id, view]));
  const shots = new Map<string, Shot>();
  const ofPlaces = (parent: PhotoView | undefined) => (parent ? placesOf(parent, byId, stationPlace) : []);
  for (const view of views) {
    if (view.type !== 'photo' || !text(view.body.sha256)) continue;
    const parent_id = text(view.body.parent_id);
    const parent = byId.get(parent_id);
    const sha256 = text(view.body.sha256);
    const key = `${parent_id}:${sha256}`;
    // Two phones may each have given it a record: one without words hides none that has some.
    if (shots.get(key)?.caption && !text(view.body.caption)) continue;
    shots.set(key, {
      key,
      sha256,
      ...(typeof view.body.bytes === 'number' ? { bytes: view.body.bytes } : {}),
      at: momentOf(view) || (parent ? momentOf(parent) : ''),
      caption: text(view.body.caption),
      observer: text(view.body.observer),
      ...(parent_id ? { parent_id } : {}),
      ...(parent ? { parent } : {}),
      place_ids: ofPlaces(parent),
      record_id: view.id,
      ...(view.base ? { base: view.base } : {}),
      listed: false,
      orphan: parent_id !== '' && !parent,
      pending: view.pending === true,
    });
  }
  for (const parent of views) {
    for (const { sha256, bytes } of refsOf(parent)) {
      const key = `${parent.id}:${sha256}`;
      const own = shots.get(key);
      if (own) own.listed = true;
      else
        shots.set(key, {
          key,
          sha256,
          ...(bytes === undefined ? {} : { bytes }),
          at: momentOf(parent),
          caption: '',
          observer: text(parent.body.observer),
          parent_id: parent.id,
          parent,
          place_ids: ofPlaces(parent),
          listed: true,
          orphan: false,
          pending: parent.pending === true,
        });
    }
  }
  return [...shots.values()].sort((a, b) => time(b) - time(a) || a.key.localeCompare(b.key));
}

const time = (shot: Shot): number => Date.parse(shot.at) || 0;

/** The places that a record is about. */
export function placesOf(
  view: PhotoView,
  byId: ReadonlyMap<string, PhotoView>,
  stationPlace: ReadonlyMap<string, string>,
): string[] {
  if (view.type === 'place') return [view.id];
  const { place_ids, place_id, station_id, crop_id } = view.body;
  if (Array.isArray(place_ids)) return place_ids.map(String);
  if (text(place_id)) return [text(place_id)];
  const station = view.type === 'station' ? view.id : text(station_id);
  const stands = station && stationPlace.get(station);
  if (stands) return [stands];
  const crop = byId.get(text(crop_id));
  return crop && crop.id !== view.id ? placesOf(crop, byId, stationPlace) : [];
}

export function inPlace(shots: readonly Shot[], placeId: string): Shot[] {
  return shots.filter((shot) => shot.place_ids.includes(placeId));
}

export type Stretch = { key: string; shots: Shot[] };

/** Local months, newest first; shots whose time nobody knows come last under ''. */
export function byMonth(shots: readonly Shot[], timeZone: string): Stretch[] {
  const months = new Map<string, Shot[]>();
  for (const shot of shots) {
    const month = shot.at ? localDay(shot.at, timeZone).slice(0, 7) : '';
    months.set(month, [...(months.get(month) ?? []), shot]);
  }
  return [...months].sort(([a], [b]) => b.localeCompare(a)).map(([key, of]) => ({ key, shots: of }));
}

/** Key of the stretch of photos whose record was removed. */
export const GONE = 'gone';

/**
 * In the order of the places given; a photo of two places stands under both, one of none under '', one whose record
 * was removed under GONE at the end.
 */
export function byPlace(shots: readonly Shot[], places: readonly { id: string }[]): Stretch[] {
  const known = new Set(places.map(({ id }) => id));
  const rest = shots.filter((shot) => !shot.place_ids.some((id) => known.has(id)));
  return [
    ...places.map(({ id }) => ({ key: id, shots: inPlace(shots, id) })),
    { key: '', shots: rest.filter(({ orphan }) => !orphan) },
    { key: GONE, shots: rest.filter(({ orphan }) => orphan) },
  ].filter((stretch) => stretch.shots.length > 0);
}

/** The two that tell most: the first and the last of them. */
export function widestPair(shots: readonly Shot[]): { before: Shot; after: Shot } | undefined {
  const dated = shots.filter((shot) => shot.at).sort((a, b) => time(a) - time(b));
  const [before] = dated;
  const after = dated.at(-1);
  return before && after && before !== after ? { before, after } : undefined;
}

/** Whole local days from one to the other. */
export function daysApart(a: Shot, b: Shot, timeZone: string): number {
  return Math.abs(daysBetween(localDay(a.at, timeZone), localDay(b.at, timeZone)));
}

/** A picture that is kept on this phone and that no record names yet. */
export interface Taken {
  sha256: string;
  bytes: number;
  taken_at: string;
}

/** When it was taken: by the camera's own word, else by the file's, else now; nothing from the future. */
export function takenAt(camera: CameraTime | undefined, fileMs: number, now: Date, timeZone: string): string {
  const soon = now.getTime() + 86_400_000;
  const fromFile = fileMs > 0 && fileMs <= soon ? new Date(fileMs) : now;
  const [day = '', clock = ''] = camera?.wall.split('T') ?? [];
  const said =
    camera && (camera.offset ? camera.wall + camera.offset : momentAt(day, clock.slice(0, 5), timeZone));
  if (said && Date.parse(said) <= soon) return said;
  const at = fromFile;
  return momentAt(localDay(at, timeZone), localClockOf(at, timeZone), timeZone);
}

function localClockOf(at: Date, timeZone: string): string {
  return new Intl.DateTimeFormat('en-GB', {
    timeZone,
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  }).format(at);
}

export type Written = { type: RecordType; id: string; set: Record<string, unknown> };

/** Records for pictures just taken. */
export function photoItems(
  taken: readonly Taken[],
  of: { parent_id?: string | undefined; caption: string; observer: string },
  newId: () => string,
): Written[] {
  return taken.map(({ sha256, bytes, taken_at }) => ({
    type: 'photo',
    id: newId(),
    set: {
      sha256,
      bytes,
      taken_at,
      observed_at: taken_at,
      observer: of.observer,
      ...(of.parent_id ? { parent_id: of.parent_id } : {}),
      ...(of.caption.trim() ? { caption: of.caption.trim() } : {}),
    },
  }));
}

/** What writes a caption: a photo taken at a board has no record of its own before somebody says what it shows. */
export function captionItem(shot: Shot, words: string, observer: string, newId: () => string): Written {
  const caption = words.trim();
  if (shot.record_id) return { type: 'photo', id: shot.record_id, set: { caption: caption || null } };
  const { sha256, bytes, at, parent_id } = shot;
  const set = { sha256, bytes, parent_id, caption, taken_at: at, observed_at: at, observer };
  return {
    type: 'photo',
    id: newId(),
    set: Object.fromEntries(Object.entries(set).filter(([, value]) => value !== undefined && value !== '')),
  };
}

/** What whoever types a caption has before him; none of a record was shown while there is none. */
export function captionShown({ record_id, base, caption }: Shot): Shown {
  const none = { rev: 0, epoch: '' };
  return { ...(record_id && { id: record_id }), base: base ?? none, body: { caption: caption || null } };
}

/** Photo records for what a record that is to be removed only names in a list: its photos stay, by their own records. */
export function keptByRecords(
  removed: readonly PhotoView[],
  shots: readonly Pick<Shot, 'parent_id' | 'sha256' | 'record_id'>[],
  newId: () => string,
): Written[] {
  return removed.flatMap((view) =>
    refsOf(view)
      .filter(
        ({ sha256 }) => !shots.some((s) => s.record_id && s.parent_id === view.id && s.sha256 === sha256),
      )
      .map(({ sha256, bytes }) => {
        const at = momentOf(view);
        const observer = text(view.body.observer);
        return {
          type: 'photo' as const,
          id: newId(),
          set: {
            sha256,
            parent_id: view.id,
            ...(bytes === undefined ? {} : { bytes }),
            ...(at ? { taken_at: at, observed_at: at } : {}),
            ...(observer ? { observer } : {}),
          },
        };
      }),
  );
}

export type Removal = { items: Written[]; gone: string[]; forget: boolean };

/** What takes a photo away: its record, its line in its parent, and its bytes if it is of nothing else. */
export function removalOf(shot: Shot, shots: readonly Shot[]): Removal {
  const { parent } = shot;
  const left = parent && shot.listed ? refsOf(parent).filter((ref) => ref.sha256 !== shot.sha256) : undefined;
  return {
    items: parent && left ? [{ type: parent.type as RecordType, id: parent.id, set: { photos: left } }] : [],
    gone: shot.record_id ? [shot.record_id] : [],
    forget: !shots.some((other) => other.key !== shot.key && other.sha256 === shot.sha256),
  };
}

/** A new list without those that are there already: the same picture chosen twice is one. */
export function withTaken(before: readonly Taken[], more: Taken): Taken[] {
  return before.some(({ sha256 }) => sha256 === more.sha256) ? [...before] : [...before, more];
}
