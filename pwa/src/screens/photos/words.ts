/** What a photo is of, when, and what to call it. */
import { type TextKey, t } from '../../text';
import { locale } from '../../text/format';
import { dayWords, localClock, localDay } from '../forms/local_time';
import type { PhotoData } from './load';
import type { Shot } from './model';

/** "Bed 3", "Bed 3, Bed 4", or '' for the plot as a whole. */
export function placeWords(shot: Shot, data: Pick<PhotoData, 'places'>): string {
  const label = new Map(data.places.map((place) => [place.id, place.label]));
  return shot.place_ids
    .map((id) => label.get(id) ?? '')
    .filter(Boolean)
    .join(', ');
}

/** What it belongs to: "Slug count · Board 2", "Potato Charlotte", "Bed 3". */
export function parentWords(shot: Shot, data: PhotoData): string {
  const { parent } = shot;
  if (shot.orphan) return t('photos.of_gone');
  if (!parent) return '';
  const { body, type } = parent;
  if (type === 'place') return placeWords(shot, data);
  if (type === 'crop') return [body.kind, body.variety].filter(Boolean).join(' ');
  if (type === 'station') return String(body.label ?? '');
  const station = data.station.get(String(body.station_id ?? ''));
  return [t(`diary.type_${type}` as TextKey), station].filter(Boolean).join(' · ');
}

export function dayOf(shot: Shot, timeZone: string): string {
  return shot.at ? dayWords(localDay(shot.at, timeZone), localDay(new Date(), timeZone)) : t('photos.no_day');
}

export function momentWords(shot: Shot, timeZone: string): string {
  return shot.at ? `${dayOf(shot, timeZone)} ${localClock(shot.at, timeZone)}` : t('photos.no_day');
}

/** "November 2026". */
export function monthWords(month: string): string {
  const format = new Intl.DateTimeFormat(locale(), { timeZone: 'UTC', month: 'long', year: 'numeric' });
  return format.format(new Date(`${month}-15T12:00:00Z`));
}

/** For those who do not see it: the caption, else what it is of, and the day. */
export function altWords(shot: Shot, data: PhotoData, timeZone: string): string {
  const what = shot.caption || parentWords(shot, data) || placeWords(shot, data) || t('photos.of_plot');
  return t('photos.alt', { what, day: dayOf(shot, timeZone) });
}
