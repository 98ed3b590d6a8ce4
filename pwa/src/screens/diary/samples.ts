/** Shares of damage and soil cores, while they are written down: what they say of the whole. Pure. */
import { density, proportion } from '../../agronomy';
import { numberOf } from '../forms/typed_number';
import type { DiaryView } from './model';

export interface DamageDraft {
  /** `crop:ID` or `place:ID`. */
  subject: string;
  examined: string;
  damaged: string;
  cause: string;
  day: string;
  note: string;
}
export const emptyDamage = (day: string, subject = ''): DamageDraft => ({
  subject,
  examined: '',
  damaged: '',
  cause: '',
  day,
  note: '',
});

export type DamageFault = 'subject' | 'examined' | 'damaged' | 'day';

/** A whole number in a range, or `undefined`. */
function whole(text: string, low: number, high: number): number | undefined {
  const value = numberOf(text);
  return value !== undefined && Number.isInteger(value) && value >= low && value <= high ? value : undefined;
}

export function damageFaults(draft: DamageDraft, today: string): DamageFault[] {
  const faults: DamageFault[] = [];
  const examined = whole(draft.examined, 1, 999_999);
  if (draft.subject === '') faults.push('subject');
  if (examined === undefined) faults.push('examined');
  if (whole(draft.damaged, 0, examined ?? 999_999) === undefined) faults.push('damaged');
  if (draft.day > today) faults.push('day');
  return faults;
}

export interface Share {
  percent: number;
  low: number;
  high: number;
  /** One-sided upper limit, when none was damaged. */
  up_to?: number;
}

/** Wilson's interval in percent; `undefined` until both numbers make sense. */
export function shareOf(damaged: number | undefined, examined: number | undefined): Share | undefined {
  if (damaged === undefined || examined === undefined || examined < 1 || damaged > examined) return undefined;
  const answer = proportion({ found: damaged, examined });
  return {
    percent: answer.proportion * 100,
    low: answer.wilson_low * 100,
    high: answer.wilson_high * 100,
    ...(answer.upper_one_sided === undefined ? {} : { up_to: answer.upper_one_sided * 100 }),
  };
}

export const draftShare = (draft: DamageDraft): Share | undefined =>
  shareOf(whole(draft.damaged, 0, 999_999), whole(draft.examined, 1, 999_999));

type At = { observed_at: string; observer: string };

const said = (fields: Record<string, string>): Record<string, string> =>
  Object.fromEntries(
    Object.entries(fields).flatMap(([name, text]) => (text.trim() === '' ? [] : [[name, text.trim()]])),
  );

/** A crop's damage names the place the crop stands in, too, so that beds can be compared. */
export function damageSet(
  draft: DamageDraft,
  at: At,
  placeOf: ReadonlyMap<string, string>,
): Record<string, unknown> {
  const [kind, id = ''] = draft.subject.split(':');
  const place_id = kind === 'crop' ? (placeOf.get(id) ?? '') : id;
  return {
    ...said({ crop_id: kind === 'crop' ? id : '', place_id, cause: draft.cause, note: draft.note }),
    examined: numberOf(draft.examined),
    damaged: numberOf(draft.damaged),
    ...at,
  };
}

export type Method = 'hand_sort' | 'wash';
/** Share of the larvae present that is found: Ann. appl. Biol. 1945, 32:148; washing at its lower end. */
export const RECOVERY: Readonly<Record<Method, number>> = { hand_sort: 0.4, wash: 0.95 };

export interface SoilDraft {
  place_ids: string[];
  cores: string;
  diameter_cm: string;
  depth_cm: string;
  /** What was found, by place. */
  found: Record<string, string>;
  method: Method;
  day: string;
  note: string;
}

/** Corer, depth and method as the last sample had them: a plot has one corer. */
export function emptySoil(day: string, samples: readonly DiaryView[]): SoilDraft {
  const last = [...samples]
    .filter((view) => !view.deleted)
    .sort((a, b) => Date.parse(String(a.body.observed_at)) - Date.parse(String(b.body.observed_at)))
    .at(-1)?.body;
  const cm = (metres: unknown) =>
    typeof metres === 'number' ? String(Number((metres * 100).toPrecision(6))) : '';
  return {
    place_ids: [],
    cores: typeof last?.cores === 'number' ? String(last.cores) : '',
    diameter_cm: cm(last?.core_diameter_m),
    depth_cm: cm(last?.depth_m),
    found: {},
    method: last?.method === 'wash' ? 'wash' : 'hand_sort',
    day,
    note: '',
  };
}

export type SoilFault = 'place' | 'cores' | 'diameter' | 'depth' | 'found' | 'day';

const cmWithin = (text: string, low: number, high: number): boolean => {
  const value = numberOf(text);
  return value !== undefined && value >= low && value <= high;
};

export function soilFaults(draft: SoilDraft, today: string): SoilFault[] {
  const faults: SoilFault[] = [];
  if (draft.place_ids.length === 0) faults.push('place');
  if (whole(draft.cores, 1, 9999) === undefined) faults.push('cores');
  if (!cmWithin(draft.diameter_cm, 0.1, 200)) faults.push('diameter');
  if (draft.depth_cm.trim() !== '' && !cmWithin(draft.depth_cm, 0, 500)) faults.push('depth');
  if (draft.place_ids.some((id) => !isFound(draft, id))) faults.push('found');
  if (draft.day > today) faults.push('day');
  return faults;
}

/** Whether it is said what was found in a place; nought is said, too. */
export function isFound(draft: SoilDraft, placeId: string): boolean {
  return whole(draft.found[placeId] ?? '', 0, 99_999) !== undefined;
}

const metres = (cm: number): number => Number((cm / 100).toPrecision(9));

/** The sample of one of the places: all were searched alike, each has its own find. */
export function soilSet(draft: SoilDraft, at: At, placeId: string): Record<string, unknown> {
  const depth = numberOf(draft.depth_cm);
  return {
    place_id: placeId,
    cores: numberOf(draft.cores),
    core_diameter_m: metres(numberOf(draft.diameter_cm) ?? Number.NaN),
    ...(depth === undefined ? {} : { depth_m: metres(depth) }),
    found: numberOf(draft.found[placeId] ?? ''),
    method: draft.method,
    ...at,
    ...said({ note: draft.note }),
  };
}

export interface SoilDensity {
  per_m2: number;
  low: number;
  high: number;
  per_ha: number;
  /** One-sided upper limit [1/m²]: what may be there though none was found. */
  up_to: number;
  area_m2: number;
  found: number;
  recovery: number;
}

/** Wireworms per m² from a sample record, with exact limits; `undefined` when it does not say how much was searched. */
export function densityOf(body: Record<string, unknown>): SoilDensity | undefined {
  const { cores, core_diameter_m, found, method } = body;
  if (typeof cores !== 'number' || typeof core_diameter_m !== 'number' || typeof found !== 'number')
    return undefined;
  if (cores < 1 || core_diameter_m <= 0) return undefined;
  const recovery = RECOVERY[method === 'wash' ? 'wash' : 'hand_sort'];
  const answer = density({ found, n_units: cores, core_diameter_m, recovery });
  return {
    per_m2: answer.per_m2,
    low: answer.low_per_m2,
    high: answer.high_per_m2,
    per_ha: answer.per_ha,
    up_to: answer.upper_one_sided_per_ha / 10_000,
    area_m2: answer.area_m2,
    found,
    recovery,
  };
}
