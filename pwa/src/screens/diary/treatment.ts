/** A treatment while it is written down: what has to be said, which cautions belong to it, when harvest may be. Pure. */
import { applicationCheck } from '../../agronomy';
import { dayPlus } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import { areaOf } from '../plot/model';
import { celsius } from '../readings/model';

export const TREATMENT_KINDS = [
  'nematodes',
  'brew',
  'mulch',
  'cultivation',
  'cover',
  'hand_collection',
  'pellets',
  'watering',
  'other',
] as const;
/** Units an amount may have. */
export const AMOUNT_UNITS = ['g', 'kg', 'ml', 'l', 'million'] as const;
export type TreatmentKind = (typeof TREATMENT_KINDS)[number];

export interface TreatmentDraft {
  kind: TreatmentKind | '';
  place_ids: string[];
  control_place_ids: string[];
  day: string;
  clock: string;
  product: string;
  authorisation_number: string;
  harvest_interval_days: string;
  area: string;
  amount: string;
  amount_unit: string;
  water: string;
  soil: string;
  moisture: '' | 'dry' | 'damp' | 'wet';
  /** The culture it came from, when the form was opened from its card. */
  culture_id: string;
  note: string;
}

export function emptyTreatment(day: string, clock: string): TreatmentDraft {
  return {
    kind: '',
    place_ids: [],
    control_place_ids: [],
    day,
    clock,
    product: '',
    authorisation_number: '',
    harvest_interval_days: '',
    area: '',
    amount: '',
    amount_unit: 'g',
    water: '',
    soil: '',
    moisture: '',
    culture_id: '',
    note: '',
  };
}

/** Kinds that come out of a packet with a label. */
export function isProduct(kind: TreatmentKind | ''): boolean {
  return kind === 'pellets' || kind === 'nematodes' || kind === 'other';
}
/** Kinds watered in, where soil and moisture decide whether it can work. */
export function isDrench(kind: TreatmentKind | ''): boolean {
  return kind === 'nematodes' || kind === 'brew';
}

export type Caution =
  | 'gloves'
  | 'children_dogs'
  | 'leaves'
  | 'brew_unproven'
  | 'brew_control'
  | 'brew_move'
  | 'non_native'
  | 'metaldehyde'
  | 'label'
  | 'compost'
  | 'rats'
  | 'cover_cold'
  | 'heaters'
  | 'disturbs_boards';

const CAUTIONS: Readonly<Record<TreatmentKind, readonly Caution[]>> = {
  nematodes: ['label', 'non_native', 'gloves'],
  brew: ['brew_unproven', 'brew_control', 'brew_move', 'non_native', 'leaves', 'gloves', 'children_dogs'],
  mulch: ['compost', 'rats', 'disturbs_boards'],
  cultivation: ['rats', 'disturbs_boards'],
  cover: ['cover_cold', 'heaters'],
  hand_collection: ['gloves', 'children_dogs'],
  pellets: ['metaldehyde', 'label', 'children_dogs'],
  watering: ['disturbs_boards'],
  other: ['label', 'gloves'],
};

export function cautionsFor(kind: TreatmentKind | ''): readonly Caution[] {
  return kind === '' ? [] : CAUTIONS[kind];
}

export type TreatmentFault =
  | 'kind'
  | 'places'
  | 'product'
  | 'harvest_interval_days'
  | 'area'
  | 'amount'
  | 'water'
  | 'soil'
  | 'control';

const badNumber = (text: string, high: number, whole = false): boolean => {
  if (text.trim() === '') return false;
  const value = numberOf(text);
  return value === undefined || value < 0 || value > high || (whole && !Number.isInteger(value));
};

export function treatmentFaults(draft: TreatmentDraft): TreatmentFault[] {
  const faults: TreatmentFault[] = [];
  if (draft.kind === '') faults.push('kind');
  if (draft.place_ids.length === 0) faults.push('places');
  if (draft.kind === 'pellets' && draft.product.trim() === '') faults.push('product');
  if (badNumber(draft.harvest_interval_days, 1000, true)) faults.push('harvest_interval_days');
  if (badNumber(draft.area, 1_000_000)) faults.push('area');
  if (badNumber(draft.amount, 1_000_000_000)) faults.push('amount');
  if (badNumber(draft.water, 100_000)) faults.push('water');
  if (draft.soil.trim() !== '' && numberOf(draft.soil) === undefined) faults.push('soil');
  if (draft.control_place_ids.some((id) => draft.place_ids.includes(id))) faults.push('control');
  return faults;
}

/** What is the same from one treatment of a kind to the next. */
const ALIKE = [
  'product',
  'authorisation_number',
  'harvest_interval_days',
  'amount',
  'amount_unit',
  'water',
] as const;
export type Alike = Pick<TreatmentDraft, (typeof ALIKE)[number]>;
export interface LastTime {
  set: Alike;
  /** Area that the amount went on, m². */
  area?: number;
}

/** What the last treatment of that kind used; `undefined` when it told nothing of that. */
export function lastTime(
  kind: TreatmentKind | '',
  treatments: readonly { deleted?: boolean; body: Record<string, unknown> }[],
): LastTime | undefined {
  const text = (value: unknown) => (value === undefined || value === null ? '' : String(value));
  const told = treatments
    .filter(({ deleted, body }) => !deleted && kind !== '' && body.kind === kind)
    .sort((a, b) => Date.parse(String(a.body.observed_at)) - Date.parse(String(b.body.observed_at)))
    .flatMap(({ body }): LastTime[] => {
      const amount = body.amount as { value?: unknown; unit?: unknown } | null | undefined;
      const set: Alike = {
        product: text(body.product),
        authorisation_number: text(body.authorisation_number),
        harvest_interval_days: text(body.harvest_interval_days),
        amount: text(amount?.value),
        amount_unit: text(amount?.unit) || 'g',
        water: text(body.water_l),
      };
      if (set.product === '' && set.amount === '' && set.water === '') return [];
      return [{ set, ...(typeof body.area_m2 === 'number' ? { area: body.area_m2 } : {}) }];
    });
  return told.at(-1);
}

/** Whether nothing of what a last time could fill has been typed yet. */
export function isBlank(draft: TreatmentDraft): boolean {
  return ALIKE.every((name) => name === 'amount_unit' || draft[name].trim() === '');
}

/** The first day on which the label allows harvest, when an interval was given. */
export function harvestFrom(
  draft: Pick<TreatmentDraft, 'day' | 'harvest_interval_days'>,
): string | undefined {
  const days = numberOf(draft.harvest_interval_days);
  return days === undefined || !Number.isInteger(days) || days < 0 ? undefined : dayPlus(draft.day, days);
}

/** Sum of the known areas of the chosen places, in m²; `undefined` when one of them was never measured. */
export function areaOfPlaces(
  ids: readonly string[],
  areas: ReadonlyMap<string, number | undefined>,
): number | undefined {
  let sum = 0;
  for (const id of ids) {
    const area = areas.get(id);
    if (area === undefined) return undefined;
    sum += area;
  }
  return ids.length > 0 ? sum : undefined;
}

type Sized = Parameters<typeof areaOf>[0] & { id: string };

export function areaKnown(ids: readonly string[], places: readonly Sized[]): number | undefined {
  return areaOfPlaces(ids, new Map(places.map((place) => [place.id, areaOf(place)])));
}

/** The same as the form holds it; empty when the size of one is not known. */
export function areaText(ids: readonly string[], places: readonly Sized[]): string {
  const area = areaKnown(ids, places);
  return area === undefined ? '' : String(Math.round(area * 100) / 100);
}

/** Other places chosen, and their area with them, unless another one was typed. None is treated and left alone. */
export function areaTaken(
  draft: TreatmentDraft,
  place_ids: string[],
  places: readonly Sized[],
): Partial<TreatmentDraft> {
  const typed = draft.area !== '' && draft.area !== areaText(draft.place_ids, places);
  return {
    place_ids,
    control_place_ids: draft.control_place_ids.filter((id) => !place_ids.includes(id)),
    ...(typed ? {} : { area: areaText(place_ids, places) }),
  };
}

/** The weakest dose of slug nematodes that is published: 50,000 per m², a UK distributor's table (nematodeDose). */
export const WEAKEST_DOSE = 50_000;

/** How much of its unit went on a square metre. */
export function rateOf(draft: Pick<TreatmentDraft, 'amount' | 'area'>): number | undefined {
  const [amount, area] = [numberOf(draft.amount), numberOf(draft.area)];
  return amount && area && amount > 0 && area > 0 ? amount / area : undefined;
}

export interface DrenchAdvice {
  verdict: string;
  reasons: string[];
}

/** What the soil says about a drench now; `undefined` until soil temperature and moisture are both given. */
export function drenchAdvice(
  draft: TreatmentDraft,
  known: { unit: string; days_since_last?: number; under_cover: boolean },
): DrenchAdvice | undefined {
  const soil = numberOf(draft.soil);
  if (!isDrench(draft.kind) || soil === undefined || draft.moisture === '') return undefined;
  const answer = applicationCheck({
    soil_c: celsius({ value: soil, unit: known.unit }),
    moisture: draft.moisture,
    under_cover: known.under_cover,
    month: Number(draft.day.slice(5, 7)),
    ...(known.days_since_last === undefined ? {} : { days_since_last: known.days_since_last }),
  });
  return { verdict: answer.verdict, reasons: answer.reasons };
}

/** Fields of the treatment record; what was left empty is left out. */
export function treatmentSet(
  draft: TreatmentDraft,
  at: { observed_at: string; observer: string; unit: string },
): Record<string, unknown> {
  const text = (name: string, value: string) => (value.trim() === '' ? {} : { [name]: value.trim() });
  const number = (name: string, value: string) => {
    const n = numberOf(value);
    return n === undefined ? {} : { [name]: n };
  };
  const amount = numberOf(draft.amount);
  const soil = numberOf(draft.soil);
  const product = isProduct(draft.kind);
  return {
    kind: draft.kind,
    place_ids: draft.place_ids,
    ...(draft.control_place_ids.length > 0 ? { control_place_ids: draft.control_place_ids } : {}),
    observed_at: at.observed_at,
    ...(product ? text('product', draft.product) : {}),
    ...(product ? text('authorisation_number', draft.authorisation_number) : {}),
    ...(product ? number('harvest_interval_days', draft.harvest_interval_days) : {}),
    ...text('culture_id', draft.culture_id),
    ...number('area_m2', draft.area),
    ...(amount === undefined ? {} : { amount: { value: amount, unit: draft.amount_unit } }),
    ...number('water_l', draft.water),
    ...(soil === undefined ? {} : { soil: { value: soil, unit: at.unit } }),
    ...(draft.moisture === '' ? {} : { moisture: draft.moisture }),
    observer: at.observer,
    ...text('note', draft.note),
  };
}
