/** Places and stations of the plot: order, forms, checks, what a change writes. Pure. */
import { numberOf } from '../forms/typed_number';
import { type Outline, outlineAreaM2 } from './sketch/geometry';

export const PLACE_KINDS = ['bed', 'tunnel', 'frame', 'open_ground', 'path', 'store'] as const;
export type PlaceKind = (typeof PLACE_KINDS)[number];
export const STATION_KINDS = [
  'slug_board',
  'bait_trap',
  'beetle_trap',
  'thermometer',
  'grass_minimum',
  'rain_gauge',
] as const;
export type StationKind = (typeof STATION_KINDS)[number];
export const EXPOSURES = ['screen', 'under_cover', 'soil'] as const;
export const NEIGHBOURS = ['grass_edge', 'hedge', 'heap'] as const;

export interface Place {
  id: string;
  kind?: string;
  label?: string;
  length_m?: number;
  width_m?: number;
  area_m2?: number;
  outline?: Outline;
  broken_year?: number;
  neighbours?: readonly string[];
  archived?: boolean;
  note?: string;
}
export interface Station {
  id: string;
  kind?: string;
  place_id?: string;
  label?: string;
  x_m?: number;
  y_m?: number;
  walk_order?: number;
  size_m2?: number;
  exposure?: string;
  depth_m?: number;
  bait?: string;
  set_on?: string;
  retired_on?: string;
  note?: string;
}

export function byLabel(a: { label?: string }, b: { label?: string }): number {
  return (a.label ?? '').localeCompare(b.label ?? '', undefined, { numeric: true });
}

/** Walking order; stations without one come last, by label. */
export function inWalkingOrder<S extends Station>(stations: readonly S[]): S[] {
  const last = Number.MAX_SAFE_INTEGER;
  return [...stations].sort((a, b) => (a.walk_order ?? last) - (b.walk_order ?? last) || byLabel(a, b));
}

export function isRetired(station: Station, today: string): boolean {
  return station.retired_on !== undefined && station.retired_on <= today;
}

export interface PlaceRow<P extends Place, S extends Station> {
  place: P | undefined;
  stations: S[];
}

/** Places in kind order then by label, each with its stations; stations without a living place come last. */
export function plotRows<P extends Place, S extends Station>(
  places: readonly P[],
  stations: readonly S[],
): PlaceRow<P, S>[] {
  const kindAt = (place: P) => PLACE_KINDS.indexOf(place.kind as PlaceKind);
  const sorted = [...places].sort((a, b) => kindAt(a) - kindAt(b) || byLabel(a, b));
  const rows: PlaceRow<P, S>[] = sorted.map((place) => ({
    place,
    stations: inWalkingOrder(stations.filter((station) => station.place_id === place.id)),
  }));
  const known = new Set(places.map((place) => place.id));
  const homeless = stations.filter(
    (station) => station.place_id === undefined || !known.has(station.place_id),
  );
  return homeless.length > 0 ? [...rows, { place: undefined, stations: inWalkingOrder(homeless) }] : rows;
}

/**
 * The changed walking orders when one station moves up or down: numbers are dealt out again from 1, and only
 * those that differ are written, so that two people who move different boards rarely meet.
 */
export function walkOrderChanges(
  stations: readonly Station[],
  id: string,
  by: -1 | 1,
): { id: string; walk_order: number }[] {
  const list = inWalkingOrder(stations);
  const at = list.findIndex((station) => station.id === id);
  const to = at + by;
  if (at < 0 || to < 0 || to >= list.length) return [];
  const [station] = list.splice(at, 1);
  if (station) list.splice(to, 0, station);
  return list.flatMap((item, i) => (item.walk_order === i + 1 ? [] : [{ id: item.id, walk_order: i + 1 }]));
}

/** The area in m² when it is known: as measured, else as drawn, else from length and width (as core/places.py). */
export function areaOf(place: Place): number | undefined {
  if (place.area_m2) return place.area_m2;
  const drawn = outlineAreaM2(place.outline ?? []);
  if (drawn > 0) return drawn;
  return place.length_m !== undefined && place.width_m !== undefined
    ? place.length_m * place.width_m
    : undefined;
}

export interface PlaceForm {
  kind: PlaceKind;
  label: string;
  length: string;
  width: string;
  broken_year: string;
  neighbours: string[];
  note: string;
}

export function placeForm(place?: Place): PlaceForm {
  const text = (value: number | undefined) => (value === undefined ? '' : String(value));
  return {
    kind: (place?.kind as PlaceKind | undefined) ?? 'bed',
    label: place?.label ?? '',
    length: text(place?.length_m),
    width: text(place?.width_m),
    broken_year: text(place?.broken_year),
    neighbours: [...(place?.neighbours ?? [])],
    note: place?.note ?? '',
  };
}

export type FormFault =
  | 'label'
  | 'label_taken'
  | 'length'
  | 'width'
  | 'broken_year'
  | 'depth'
  | 'size'
  | 'place';

const outside = (text: string, low: number, high: number): boolean => {
  if (text.trim() === '') return false;
  const value = numberOf(text);
  return value === undefined || value < low || value > high;
};

export function placeFaults(form: PlaceForm, others: readonly Place[], thisYear: number): FormFault[] {
  const faults: FormFault[] = [];
  if (form.label.trim() === '') faults.push('label');
  if (isTaken(form.label, others)) faults.push('label_taken');
  if (outside(form.length, 0.05, 1000)) faults.push('length');
  if (outside(form.width, 0.05, 1000)) faults.push('width');
  if (outside(form.broken_year, 1800, thisYear)) faults.push('broken_year');
  return faults;
}

function isTaken(label: string, others: readonly { label?: string }[]): boolean {
  const wanted = label.trim().toLowerCase();
  return wanted !== '' && others.some((other) => (other.label ?? '').trim().toLowerCase() === wanted);
}

/** Only the fields that differ from the record, so that an edit touches nothing it did not mean. */
export function changedOnly(
  set: Record<string, unknown>,
  before: object | undefined,
): Record<string, unknown> {
  const known = (before ?? {}) as Record<string, unknown>;
  const same = (key: string, value: unknown) =>
    JSON.stringify(known[key] ?? null) === JSON.stringify(value ?? null);
  return Object.fromEntries(Object.entries(set).filter(([key, value]) => !same(key, value)));
}

/** `null` clears a field that had a value; a field that never had one is left out. */
export function placeSet(form: PlaceForm, before?: Place): Record<string, unknown> {
  const set = {
    kind: form.kind,
    label: form.label.trim(),
    length_m: numberOf(form.length) ?? null,
    width_m: numberOf(form.width) ?? null,
    broken_year: numberOf(form.broken_year) ?? null,
    neighbours: form.neighbours.length > 0 || before?.neighbours ? form.neighbours : null,
    note: form.note.trim() === '' ? null : form.note.trim(),
  };
  return changedOnly(set, before);
}

export interface StationForm {
  kind: StationKind;
  place_id: string;
  label: string;
  size: string;
  exposure: string;
  depth_cm: string;
  bait: string;
  note: string;
}

export function stationForm(station?: Station, placeId = ''): StationForm {
  return {
    kind: (station?.kind as StationKind | undefined) ?? 'slug_board',
    place_id: station?.place_id ?? placeId,
    label: station?.label ?? '',
    size: station?.size_m2 === undefined ? '' : String(station.size_m2),
    exposure: station?.exposure ?? 'screen',
    depth_cm: station?.depth_m === undefined ? '' : String(Math.round(station.depth_m * 1000) / 10),
    bait: station?.bait ?? '',
    note: station?.note ?? '',
  };
}

export function stationFaults(form: StationForm, others: readonly Station[], today: string): FormFault[] {
  const faults: FormFault[] = [];
  const rivals = others.filter((station) => station.kind === form.kind && !isRetired(station, today));
  if (form.label.trim() === '') faults.push('label');
  if (isTaken(form.label, rivals)) faults.push('label_taken');
  if (form.place_id === '') faults.push('place');
  if (outside(form.size, 0.001, 10)) faults.push('size');
  const needsDepth = form.kind === 'thermometer' && form.exposure === 'soil';
  if (needsDepth && (form.depth_cm.trim() === '' || outside(form.depth_cm, 0.5, 200))) faults.push('depth');
  return faults;
}

export function stationSet(
  form: StationForm,
  before: Station | undefined,
  fresh: { walk_order: number; today: string },
) {
  const thermometer = form.kind === 'thermometer';
  const depth = thermometer && form.exposure === 'soil' ? numberOf(form.depth_cm) : undefined;
  const set = {
    kind: form.kind,
    place_id: form.place_id,
    label: form.label.trim(),
    size_m2: form.kind === 'slug_board' ? (numberOf(form.size) ?? null) : null,
    exposure: thermometer ? form.exposure : null,
    depth_m: depth === undefined ? null : depth / 100,
    bait: form.kind === 'bait_trap' && form.bait.trim() !== '' ? form.bait.trim() : null,
    note: form.note.trim() === '' ? null : form.note.trim(),
    // Its spot was in the old place.
    ...(before && before.place_id !== form.place_id ? { x_m: null, y_m: null } : {}),
    ...(before ? {} : { walk_order: fresh.walk_order, set_on: fresh.today }),
  };
  return changedOnly(set, before);
}

/** The next free number at the end of the walk. */
export function nextWalkOrder(stations: readonly Station[]): number {
  return stations.reduce((most, station) => Math.max(most, station.walk_order ?? 0), 0) + 1;
}
