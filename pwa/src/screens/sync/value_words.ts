/** Any field's value in words a grower reads. */
import { decimals, type TextKey, t } from '../../text';
import { EDITABLE } from '../diary/editable';
import { choiceWords, degrees, type Names } from '../diary/words';
import { dayWords, localClock, localDay } from '../forms/local_time';
import type { Outline } from '../plot/sketch/geometry';
import { outlineWords } from '../plot/sketch/outline_words';

export function fieldWords(field: string): string {
  const key = `diary.f_${field}` as TextKey;
  const words = t(key);
  return words === key ? field.replaceAll('_', ' ') : words;
}

export function valueWords(type: string, field: string, value: unknown, names: Names): string {
  if (value === undefined || value === null || value === '') return t('sync.empty_value');
  if (typeof value === 'boolean') return value ? t('parts.yes') : t('parts.no');
  const spec = EDITABLE[type]?.find((known) => known.name === field);
  if (spec?.kind === 'choice') return choiceWords(value);
  if (spec?.kind === 'temperature') return degrees(value, names.unit);
  if (spec?.kind === 'moment')
    return `${dayWords(localDay(String(value), names.time_zone))} ${localClock(String(value), names.time_zone)}`;
  if (field === 'place_id') return names.place.get(String(value)) ?? String(value);
  if (field === 'station_id') return names.station.get(String(value)) ?? String(value);
  if (field === 'outline' && Array.isArray(value)) return outlineWords(value as Outline);
  if (Array.isArray(value))
    return field === 'photos' ? String(value.length) : value.map((item) => listItem(item, names)).join(', ');
  if (typeof value === 'number') return Number.isInteger(value) ? String(value) : decimals(value, 2);
  if (typeof value === 'object') return quantityWords(value as { value?: unknown; unit?: unknown });
  return String(value);
}

function listItem(item: unknown, names: Names): string {
  return typeof item === 'string' ? (names.place.get(item) ?? item) : JSON.stringify(item);
}

function quantityWords(value: { value?: unknown; unit?: unknown }): string {
  return value.value === undefined
    ? JSON.stringify(value)
    : `${String(value.value)} ${String(value.unit ?? '')}`.trim();
}
