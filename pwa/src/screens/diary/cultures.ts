/** Cultures of nematodes: how strong they are, and how much of one an area needs. Pure. */
import { type CultureCount, cultureCount, nematodeDose } from '../../agronomy';
import { numberOf } from '../forms/typed_number';
import type { DiaryView } from './model';

export const SOURCES = ['unidentified', 'bought_labelled'] as const;
export type Source = (typeof SOURCES)[number];

export interface CultureDraft {
  label: string;
  source: Source;
  vessel: string;
  day: string;
  note: string;
}
export const emptyCulture = (day: string): CultureDraft => ({
  label: '',
  source: 'unidentified',
  vessel: '',
  day,
  note: '',
});

export function cultureFaults(draft: CultureDraft, today: string): ('label' | 'day')[] {
  return [
    ...(draft.label.trim() === '' ? (['label'] as const) : []),
    ...(draft.day > today ? (['day'] as const) : []),
  ];
}

export function cultureSet(
  draft: CultureDraft,
  at: { started_at: string; observer: string },
): Record<string, unknown> {
  const { label, source, vessel, note } = draft;
  const texts = Object.entries({ label, vessel, note }).filter(([, text]) => text.trim() !== '');
  return { ...Object.fromEntries(texts.map(([name, text]) => [name, text.trim()])), source, ...at };
}

/** Thrown away ones last, else the one started last on top. */
export function sortedCultures(views: readonly DiaryView[]): DiaryView[] {
  const at = (view: DiaryView) => Date.parse(String(view.body.started_at ?? ''));
  return views
    .filter((view) => !view.deleted)
    .sort(
      (a, b) => Number(Boolean(a.body.discarded_at)) - Number(Boolean(b.body.discarded_at)) || at(b) - at(a),
    );
}

export interface CountDraft {
  drops: string;
  drop_ml: string;
  dilution: string;
}
export const emptyCount = (last?: Record<string, unknown>): CountDraft => ({
  drops: '',
  drop_ml: last?.aliquot_ml === undefined ? '0.05' : String(last.aliquot_ml),
  dilution: last?.dilution === undefined ? '1' : String(last.dilution),
});

/** "12, 15 9" as numbers; `undefined` when anything else than whole numbers stands there. */
export function dropsOf(text: string): number[] | undefined {
  const words = text.trim().split(/[\s,;/]+/);
  if (words.length > 100 || !words.every((word) => /^\d{1,6}$/.test(word))) return undefined;
  return words.map(Number);
}

export type CountFault = 'drops' | 'drop_ml' | 'dilution';

const within = (text: string, low: number, high: number): boolean => {
  const value = numberOf(text);
  return value !== undefined && value >= low && value <= high;
};

export function countFaults(draft: CountDraft): CountFault[] {
  return [
    ...(dropsOf(draft.drops) === undefined ? (['drops'] as const) : []),
    ...(within(draft.drop_ml, 1e-4, 1000) ? [] : (['drop_ml'] as const)),
    ...(within(draft.dilution, 1, 1e6) ? [] : (['dilution'] as const)),
  ];
}

export function countSet(draft: CountDraft): Record<string, unknown> {
  return {
    aliquot_counts: dropsOf(draft.drops),
    aliquot_ml: numberOf(draft.drop_ml),
    dilution: numberOf(draft.dilution),
  };
}

export interface Strength extends CultureCount {
  per_ml: number;
  low: number;
  high: number;
  drops: number;
}

/** Animals per ml with their interval; `undefined` until drops were counted. */
export function strengthOf(body: Record<string, unknown>): Strength | undefined {
  const { aliquot_counts: aliquots, aliquot_ml, dilution } = body;
  if (!Array.isArray(aliquots) || aliquots.length === 0 || typeof aliquot_ml !== 'number' || aliquot_ml <= 0)
    return undefined;
  const counted = cultureCount({
    aliquots,
    aliquot_ml,
    ...(typeof dilution === 'number' ? { dilution } : {}),
  });
  const { per_ml, low, high } = counted;
  if (per_ml === null || low === null || high === null) return undefined;
  return { ...counted, per_ml, low, high, drops: aliquots.length };
}

export const DOSES = ['300000', '150000', '50000'] as const;
export type Dose = (typeof DOSES)[number];

export interface Volume {
  litres: number;
  low_l: number;
  /** `undefined` when the culture may hold nothing at all. */
  high_l?: number;
  nematodes: number;
}

/** How much of the culture the area needs; the strongest it may be needs least. */
export function volumeFor(strength: Strength, areaM2: number, perM2: number): Volume | undefined {
  if (strength.per_ml === 0 || areaM2 <= 0) return undefined;
  const litres = (per_ml: number) =>
    (nematodeDose({ area_m2: areaM2, per_m2: perM2, per_ml }).culture_ml ?? 0) / 1000;
  return {
    litres: litres(strength.per_ml),
    low_l: litres(strength.high),
    ...(strength.low > 0 ? { high_l: litres(strength.low) } : {}),
    nematodes: nematodeDose({ area_m2: areaM2, per_m2: perM2 }).nematodes,
  };
}
