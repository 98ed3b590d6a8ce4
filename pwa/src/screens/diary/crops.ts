/** Crops from chitting to harvest: their stories, a new one, and what happens to them. Pure. */
import { byDay, daysBetween, localDay } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import type { DiaryView } from './model';

export const BEGINNINGS = ['chitted', 'sown', 'potted', 'planted'] as const;
export type Beginning = (typeof BEGINNINGS)[number];

/** In the order of a season; `cleared` closes the crop itself and is no event. */
export const HAPPENINGS = [
  'chitted',
  'sown',
  'potted',
  'hardened',
  'planted',
  'covered',
  'earthed_up',
  'stage',
  'harvested',
  'cleared',
] as const;
export type Happening = (typeof HAPPENINGS)[number];

/**
 * Principal growth stages of the extended BBCH scale, and 09, coming up. Meier (ed.) 2001, Growth stages of mono-
 * and dicotyledonous plants, BBCH monograph, 2nd ed., general scale. The words are stored, for the frost table
 * reads "flower" and "head" in them; the number after them is what a list in another language goes by.
 */
export const STAGES = [
  ['0', 'sprouting'],
  ['09', 'coming up'],
  ['1', 'leaves unfolding'],
  ['2', 'side shoots'],
  ['3', 'stems stretching'],
  ['4', 'head, roots or tubers swelling'],
  ['5', 'flower buds showing'],
  ['6', 'in flower'],
  ['7', 'fruit or pods growing'],
  ['8', 'ripening'],
  ['9', 'dying back'],
] as const;
export type StageCode = (typeof STAGES)[number][0];

export function stageText(code: StageCode): string {
  const words = STAGES.find(([one]) => one === code)?.[1];
  return `${words} (BBCH ${code})`;
}

/** The code in a stored stage; `undefined` for words that somebody typed. */
export function stageCode(stored: unknown): StageCode | undefined {
  const code = /\(BBCH (\d\d?)\)$/.exec(String(stored ?? ''))?.[1];
  return STAGES.find(([one]) => one === code)?.[0];
}

export interface Step {
  view: DiaryView;
  what: string;
  day: string;
  /** Days since the crop was started; `undefined` when that is not known or lies later. */
  since?: number;
  /** The place it was moved to; `undefined` when it stayed where it was. */
  moved_to?: string;
}
export interface CropStory {
  id: string;
  view: DiaryView;
  kind: string;
  /** Where it stands now: the last place it was moved to. */
  place_id?: string;
  started_on?: string;
  ended_on?: string;
  steps: Step[];
  kg: number;
  pieces: number;
}

const text = (value: unknown): string | undefined =>
  typeof value === 'string' && value !== '' ? value : undefined;

/** Growing ones first, the latest started on top; then the cleared ones, the latest cleared on top. */
export function cropStories(
  crops: readonly DiaryView[],
  events: readonly DiaryView[],
  zone: string,
): CropStory[] {
  const of = new Map<string, DiaryView[]>();
  for (const event of events) {
    if (event.deleted) continue;
    const id = String(event.body.crop_id);
    of.set(id, [...(of.get(id) ?? []), event]);
  }
  return crops
    .filter((crop) => !crop.deleted)
    .map((crop) => storyOf(crop, of.get(crop.id) ?? [], zone))
    .sort(
      (a, b) =>
        Number(Boolean(a.ended_on)) - Number(Boolean(b.ended_on)) ||
        byDay(b.ended_on, a.ended_on) ||
        byDay(b.started_on, a.started_on) ||
        byDay(a.id, b.id),
    );
}

function storyOf(crop: DiaryView, events: readonly DiaryView[], zone: string): CropStory {
  const sorted = [...events].sort(
    (a, b) => Date.parse(String(a.body.observed_at)) - Date.parse(String(b.body.observed_at)),
  );
  const started = text(crop.body.started_on);
  const ended = text(crop.body.ended_on);
  const sum = (field: string) =>
    sorted
      .filter((event) => event.body.what === 'harvested')
      .reduce((total, event) => total + Number(event.body[field] ?? 0), 0);
  let stood = text(crop.body.place_id);
  const steps = sorted.map((view): Step => {
    const day = localDay(String(view.body.observed_at), zone);
    const since = started === undefined ? -1 : daysBetween(started, day);
    const at = text(view.body.place_id);
    const moved = at !== undefined && at !== stood;
    if (moved) stood = at;
    return {
      view,
      what: String(view.body.what),
      day,
      ...(since < 0 ? {} : { since }),
      ...(moved ? { moved_to: at } : {}),
    };
  });
  return {
    id: crop.id,
    view: crop,
    kind: String(crop.body.kind ?? ''),
    ...(stood ? { place_id: stood } : {}),
    ...(started ? { started_on: started } : {}),
    ...(ended ? { ended_on: ended } : {}),
    steps,
    kg: sum('kg'),
    pieces: sum('count'),
  };
}

/** Variety and batch of the crop of that name that was started last. */
export function lastOfKind(
  crops: readonly DiaryView[],
  kind: string,
): { variety?: string; seed_batch?: string } | undefined {
  const wanted = kind.trim().toLowerCase();
  if (wanted === '') return undefined;
  const last = crops
    .filter((crop) => !crop.deleted && String(crop.body.kind).trim().toLowerCase() === wanted)
    .sort((a, b) => byDay(String(a.body.started_on ?? ''), String(b.body.started_on ?? '')))
    .at(-1);
  const variety = text(last?.body.variety);
  const batch = text(last?.body.seed_batch);
  if (!variety && !batch) return undefined;
  return { ...(variety ? { variety } : {}), ...(batch ? { seed_batch: batch } : {}) };
}

export interface CropDraft {
  kind: string;
  variety: string;
  seed_batch: string;
  place_ids: string[];
  begin: Beginning;
  day: string;
  note: string;
}
export const emptyCrop = (day: string): CropDraft => ({
  kind: '',
  variety: '',
  seed_batch: '',
  place_ids: [],
  begin: 'sown',
  day,
  note: '',
});

export interface StepDraft {
  what: Happening | '';
  stage: StageCode | '';
  day: string;
  kg: string;
  count: string;
  place_id: string;
  also: string[];
  note: string;
}
export const emptyStep = (day: string): StepDraft => ({
  what: '',
  stage: '',
  day,
  kg: '',
  count: '',
  place_id: '',
  also: [],
  note: '',
});

export type CropFault = 'kind' | 'what' | 'stage' | 'harvest' | 'kg' | 'count' | 'day' | 'before';

export function cropFaults(draft: CropDraft, today: string): CropFault[] {
  return [
    ...(draft.kind.trim() === '' ? (['kind'] as const) : []),
    ...(draft.day > today ? (['day'] as const) : []),
  ];
}

const empty = (typed: string): boolean => typed.trim() === '';

function outside(typed: string, whole: boolean): boolean {
  if (empty(typed)) return false;
  const value = numberOf(typed);
  return value === undefined || value < 0 || value > 1e6 || (whole && !Number.isInteger(value));
}

export function stepFaults(draft: StepDraft, today: string, started?: string): CropFault[] {
  const faults: CropFault[] = [];
  if (draft.what === '') faults.push('what');
  if (draft.what === 'stage' && draft.stage === '') faults.push('stage');
  if (draft.what === 'harvested') {
    if (empty(draft.kg) && empty(draft.count)) faults.push('harvest');
    if (outside(draft.kg, false)) faults.push('kg');
    if (outside(draft.count, true)) faults.push('count');
  }
  if (draft.day > today) faults.push('day');
  if (started && draft.day < started) faults.push('before');
  return faults;
}

/** What is weighed is weighed for one crop; all else may be said of several at once. */
export const canRepeat = (what: StepDraft['what']): boolean => what !== '' && what !== 'harvested';
/** Steps that may carry a crop to another place. */
export const canMove = (what: StepDraft['what']): boolean => what === 'potted' || what === 'planted';

type At = { observed_at: string; observer: string };
type Item = { type: 'crop' | 'crop_event'; id: string; set: Record<string, unknown> };

const said = (fields: Record<string, string>): Record<string, string> =>
  Object.fromEntries(Object.entries(fields).flatMap(([name, v]) => (empty(v) ? [] : [[name, v.trim()]])));

/** A crop and its first step for each place; one with no place when none is ticked. */
export function cropItems(draft: CropDraft, at: At, newId: () => string): Item[] {
  const places = draft.place_ids.length > 0 ? draft.place_ids : [''];
  return places.flatMap((place_id): Item[] => {
    const id = newId();
    const { kind, variety, seed_batch, note } = draft;
    const crop = { ...said({ place_id, kind, variety, seed_batch, note }), started_on: draft.day };
    const event = { crop_id: id, what: draft.begin, ...at, ...said({ place_id }) };
    return [
      { type: 'crop', id, set: crop },
      { type: 'crop_event', id: newId(), set: event },
    ];
  });
}

export function stepItems(
  draft: StepDraft,
  cropId: string,
  ended: ReadonlyMap<string, DiaryView>,
  at: At,
  newId: () => string,
): Item[] {
  const ids = [cropId, ...(canRepeat(draft.what) ? draft.also.filter((id) => id !== cropId) : [])];
  if (draft.what === 'cleared') {
    return ids
      .filter((id) => ended.get(id)?.body.ended_on !== draft.day)
      .map((id) => ({ type: 'crop', id, set: { ended_on: draft.day } }));
  }
  const harvest = draft.what === 'harvested';
  const [kg, count] = [numberOf(draft.kg), numberOf(draft.count)];
  return ids.map((crop_id) => ({
    type: 'crop_event',
    id: newId(),
    set: {
      crop_id,
      what: draft.what,
      ...at,
      ...(harvest && kg !== undefined ? { kg } : {}),
      ...(harvest && count !== undefined ? { count } : {}),
      ...(draft.what === 'stage' && draft.stage ? { stage: stageText(draft.stage) } : {}),
      ...said({ place_id: canMove(draft.what) ? draft.place_id : '', note: draft.note }),
    },
  }));
}
