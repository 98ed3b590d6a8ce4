/**
 * The four questions of a new plot, as one plain draft: pure.
 *
 * Ids are made when a thing is added, not when it is saved, so that saving twice (a second press, a crash
 * half-way) writes the same records again and never a second bed.
 */
import { numberOf } from '../forms/typed_number';

export type PlaceKind = 'bed' | 'tunnel' | 'frame' | 'open_ground';
export type Exposure = 'screen' | 'under_cover' | 'soil';
export type Step = 'who' | 'where' | 'places' | 'boards' | 'thermometers';
export const STEPS: readonly Step[] = ['who', 'where', 'places', 'boards', 'thermometers'];

export interface PlaceDraft {
  id: string;
  kind: PlaceKind;
  label: string;
  length: string;
  width: string;
}
export interface BoardDraft {
  id: string;
  place_id: string;
  label: string;
}
export interface ThermometerDraft {
  id: string;
  place_id: string;
  label: string;
  exposure: Exposure;
  depth_cm: string;
}
export interface FirstRunDraft {
  step: Step;
  observer: string;
  name: string;
  time_zone: string;
  latitude: string;
  longitude: string;
  temperature: 'degC' | 'degF';
  reading_habit: 'morning' | 'evening';
  places: PlaceDraft[];
  boards: BoardDraft[];
  thermometers: ThermometerDraft[];
}

/** Sizes offered for a new place, in metres: common allotment sizes, common practice, no source. */
export const USUAL_SIZE: Record<PlaceKind, [string, string]> = {
  bed: ['3', '1.2'],
  tunnel: ['6', '3'],
  frame: ['1.2', '0.6'],
  open_ground: ['5', '4'],
};

/** A fresh draft; people in the United States read Fahrenheit, nearly all others Celsius. */
export function emptyDraft(timeZone: string, locale: string): FirstRunDraft {
  return {
    step: 'who',
    observer: '',
    name: '',
    time_zone: timeZone,
    latitude: '',
    longitude: '',
    temperature: /-(US|BS|KY|LR|PW|FM|MH)$/.test(locale) ? 'degF' : 'degC',
    reading_habit: 'morning',
    places: [],
    boards: [],
    thermometers: [],
  };
}

/** The one-time code in what a person pasted or typed: an address with `#pair=CODE`, or the bare code. */
export function pairingCode(text: string): string | undefined {
  const inFragment = /#(?:.*&)?pair=([^&\s]+)/.exec(text);
  if (inFragment?.[1]) return decodeURIComponent(inFragment[1]);
  const bare = text.trim();
  return bare === '' || /[/#?]/.test(bare) ? undefined : bare;
}

/** The first label `prefix n` that nobody has yet. */
export function freeLabel(prefix: string, taken: readonly string[]): string {
  const used = new Set(taken.map((label) => label.trim().toLowerCase()));
  let n = 1;
  while (used.has(`${prefix}${n}`.toLowerCase())) n += 1;
  return `${prefix}${n}`;
}

export function addPlaces(
  draft: FirstRunDraft,
  kind: PlaceKind,
  names: Record<PlaceKind, string>,
  n: number,
  newId: () => string,
): FirstRunDraft {
  const places = [...draft.places];
  const [length, width] = USUAL_SIZE[kind];
  for (let i = 0; i < n; i += 1) {
    const taken = places.map((place) => place.label);
    const label =
      taken.includes(names[kind]) || kind === 'bed' ? freeLabel(`${names[kind]} `, taken) : names[kind];
    places.push({ id: newId(), kind, label, length, width });
  }
  return { ...draft, places };
}

/** Without the place and without all that lies in it. */
export function dropPlace(draft: FirstRunDraft, id: string): FirstRunDraft {
  return {
    ...draft,
    places: draft.places.filter((place) => place.id !== id),
    boards: draft.boards.filter((board) => board.place_id !== id),
    thermometers: draft.thermometers.filter((thermometer) => thermometer.place_id !== id),
  };
}

export function addBoards(
  draft: FirstRunDraft,
  placeId: string,
  n: number,
  newId: () => string,
): FirstRunDraft {
  const boards = [...draft.boards];
  for (let i = 0; i < n; i += 1) {
    const label = freeLabel(
      'B',
      boards.map((board) => board.label),
    );
    boards.push({ id: newId(), place_id: placeId, label });
  }
  return { ...draft, boards };
}

/** Takes the newest board out of the place; nothing happens when it has none. */
export function dropLastBoard(draft: FirstRunDraft, placeId: string): FirstRunDraft {
  const at = draft.boards.findLastIndex((board) => board.place_id === placeId);
  return at < 0 ? draft : { ...draft, boards: draft.boards.filter((_, i) => i !== at) };
}

/** The list with one item moved by `by` steps; at the ends it stays as it is. */
export function moved<T>(items: readonly T[], at: number, by: number): T[] {
  const to = at + by;
  const list = [...items];
  if (to < 0 || to >= list.length) return list;
  const [item] = list.splice(at, 1);
  if (item !== undefined) list.splice(to, 0, item);
  return list;
}

export function addThermometer(
  draft: FirstRunDraft,
  exposure: Exposure,
  names: Record<Exposure, string>,
  newId: () => string,
): FirstRunDraft {
  const inside = draft.places.find((place) => place.kind === 'tunnel' || place.kind === 'frame');
  const outside = draft.places.find((place) => place.kind === 'bed' || place.kind === 'open_ground');
  const place = exposure === 'under_cover' ? (inside ?? outside) : (outside ?? inside);
  const taken = draft.thermometers.map((thermometer) => thermometer.label);
  const base = names[exposure];
  const label = taken.includes(base) ? freeLabel(`${base} `, taken) : base;
  const thermometer = {
    id: newId(),
    place_id: place?.id ?? '',
    label,
    exposure,
    depth_cm: exposure === 'soil' ? '10' : '',
  };
  return { ...draft, thermometers: [...draft.thermometers, thermometer] };
}

export type FaultKey =
  | 'observer'
  | 'name'
  | 'time_zone'
  | 'latitude'
  | 'longitude'
  | 'no_places'
  | 'place_label'
  | 'place_size'
  | 'no_boards'
  | 'board_label'
  | 'thermometer_label'
  | 'depth';
export interface Fault {
  key: FaultKey;
  id?: string;
}

/** What has to be mended before the step may be left; an empty list lets it go. */
export function faultsOf(draft: FirstRunDraft, step: Step): Fault[] {
  if (step === 'who') return draft.observer.trim() === '' ? [{ key: 'observer' }] : [];
  if (step === 'where') return whereFaults(draft);
  if (step === 'places') return placeFaults(draft);
  if (step === 'boards') {
    if (draft.boards.length === 0) return [{ key: 'no_boards' }];
    return draft.boards.filter((b) => b.label.trim() === '').map((b) => ({ key: 'board_label', id: b.id }));
  }
  return draft.thermometers.flatMap((thermometer): Fault[] => {
    if (thermometer.label.trim() === '') return [{ key: 'thermometer_label', id: thermometer.id }];
    const depth = numberOf(thermometer.depth_cm);
    const bad = thermometer.exposure === 'soil' && (depth === undefined || depth <= 0 || depth > 200);
    return bad ? [{ key: 'depth', id: thermometer.id }] : [];
  });
}

function whereFaults(draft: FirstRunDraft): Fault[] {
  const faults: Fault[] = [];
  if (draft.name.trim() === '') faults.push({ key: 'name' });
  if (!isTimeZone(draft.time_zone)) faults.push({ key: 'time_zone' });
  const latitude = numberOf(draft.latitude);
  const longitude = numberOf(draft.longitude);
  const bothEmpty = draft.latitude.trim() === '' && draft.longitude.trim() === '';
  if (!bothEmpty && (latitude === undefined || Math.abs(latitude) > 90)) faults.push({ key: 'latitude' });
  if (!bothEmpty && (longitude === undefined || Math.abs(longitude) > 180)) faults.push({ key: 'longitude' });
  return faults;
}

function placeFaults(draft: FirstRunDraft): Fault[] {
  if (draft.places.length === 0) return [{ key: 'no_places' }];
  return draft.places.flatMap((place): Fault[] => {
    if (place.label.trim() === '') return [{ key: 'place_label', id: place.id }];
    return [place.length, place.width].some(badSize) ? [{ key: 'place_size', id: place.id }] : [];
  });
}

/** A side of a place in metres; empty is allowed (not measured yet). */
function badSize(text: string): boolean {
  if (text.trim() === '') return false;
  const metres = numberOf(text);
  return metres === undefined || metres <= 0 || metres > 1000;
}

export function isTimeZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return name.trim() !== '';
  } catch {
    return false;
  }
}

export interface NewRecord {
  type: 'plot' | 'place' | 'station';
  id: string;
  set: Record<string, unknown>;
}

/**
 * All records of the finished draft, boards in walking order. `today` is the local date on which they were set.
 * Order matters to nobody, but places come before what lies in them, so that a list shown half-way makes sense.
 */
export function recordsOf(draft: FirstRunDraft, plotId: string, today: string): NewRecord[] {
  const plot: NewRecord = { type: 'plot', id: plotId, set: plotSet(draft) };
  const places = draft.places.map((place): NewRecord => {
    const length = numberOf(place.length);
    const width = numberOf(place.width);
    const size = { ...(length ? { length_m: length } : {}), ...(width ? { width_m: width } : {}) };
    return { type: 'place', id: place.id, set: { kind: place.kind, label: place.label.trim(), ...size } };
  });
  const boards = draft.boards.map((board, i): NewRecord => {
    const set = {
      kind: 'slug_board',
      place_id: board.place_id,
      label: board.label.trim(),
      walk_order: i + 1,
      set_on: today,
    };
    return { type: 'station', id: board.id, set };
  });
  const thermometers = draft.thermometers.map((thermometer, i): NewRecord => {
    const depth = thermometer.exposure === 'soil' ? numberOf(thermometer.depth_cm) : undefined;
    const set = {
      kind: 'thermometer',
      label: thermometer.label.trim(),
      exposure: thermometer.exposure,
      walk_order: draft.boards.length + i + 1,
      set_on: today,
      ...(thermometer.place_id ? { place_id: thermometer.place_id } : {}),
      ...(depth === undefined ? {} : { depth_m: depth / 100 }),
    };
    return { type: 'station', id: thermometer.id, set };
  });
  return [plot, ...places, ...boards, ...thermometers];
}

function plotSet(draft: FirstRunDraft): Record<string, unknown> {
  const latitude = numberOf(draft.latitude);
  const longitude = numberOf(draft.longitude);
  return {
    name: draft.name.trim(),
    time_zone: draft.time_zone,
    units: { temperature: draft.temperature },
    reading_habit: draft.reading_habit,
    ...(latitude !== undefined && longitude !== undefined
      ? { latitude, longitude, exact_location: false }
      : {}),
  };
}
