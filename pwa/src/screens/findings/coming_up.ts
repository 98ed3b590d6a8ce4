/** What was chitted and sown, when it came up, and when it should: pure. */
import { type EmergingCrop, emergence } from '../../agronomy';
import { stageCode } from '../diary/crops';
import { dayPlus, daysBetween } from '../forms/local_time';
import type { Glass, WarmDay } from './warm_days';

export interface SownCrop {
  id: string;
  kind: string;
  variety?: string;
  place_id?: string;
  started_on?: string;
}
export interface CropStep {
  crop_id: string;
  what: string;
  day: string;
  stage?: string;
  place_id?: string;
}
export interface ComingUp {
  crop_id: string;
  kind: string;
  variety?: string;
  place_id?: string;
  chitted_on?: string;
  sown_on?: string;
  came_up_on?: string;
  /** The first day on which something was done with it that only a grown plant bears: it was up by then. */
  up_by?: string;
  /** Days from sowing (planting, for what is chitted) to coming up. */
  took?: number;
  forecast?: { from: string; to: string; middle: string };
  /** Why there is no forecast. */
  why_not?: 'no_figures' | 'no_soil' | 'soil_gap' | 'cold';
}

/** What nobody does with a seed. */
const GROWN = new Set(['potted', 'hardened', 'planted', 'earthed_up', 'stage', 'harvested']);

/** Crops whose days to emerge are published, by words that people call them. */
const CALLED: readonly (readonly [RegExp, EmergingCrop])[] = [
  [/parsnip|pastinak/i, 'parsnip'],
  [/carrot|karotte|möhre/i, 'carrot'],
  [/beetroot|\bbeet\b|rote bete|mangold|chard/i, 'beet'],
  [/pepper|paprika|chilli/i, 'pepper'],
  [/bean|bohne/i, 'bean'],
  [/\bpea\b|\bpeas\b|erbse/i, 'pea'],
  [/lettuce|salat/i, 'lettuce'],
  [/onion|zwiebel/i, 'onion'],
  [/cabbage|kohl|kale|broccoli|cauliflower|sprout/i, 'cabbage'],
];
/** Of another kind than the published bean (Phaseolus vulgaris): no figures for them. */
const OTHER_BEANS = /broad bean|field bean|runner|ackerbohne|dicke bohne|feuerbohne|prunkbohne/i;

export function emergingCrop(kind: string): EmergingCrop | undefined {
  if (OTHER_BEANS.test(kind)) return undefined;
  return CALLED.find(([words]) => words.test(kind))?.[1];
}

/** Longest gap between two read days that is filled on a straight line. Our choice, no source. */
const GAP_DAYS = 7;
/** No published crop takes longer from seed to emergence than this in soil that lets it come up at all. */
const MOST_DAYS = 150;

/**
 * Soil day by day from sowing on [°C], unread days on a straight line between read ones. `broken`: it ends where nobody
 * read it for too long. Undefined where it was not read about the day of sowing.
 */
export function soilSince(
  days: readonly WarmDay[],
  sown: string,
  until: string,
): { soil: number[]; broken: boolean } | undefined {
  const read = days.flatMap(({ day, now }) => (now === null || day > until ? [] : [{ day, c: now }]));
  const before = read.findLastIndex(({ day }) => day <= sown);
  const known = read.slice(Math.max(0, before));
  const first = known[0];
  if (!first || Math.abs(daysBetween(first.day, sown)) > GAP_DAYS) return undefined;
  const soil: number[] = [];
  const fill = (to: { day: string; c: number }, from: { day: string; c: number }): void => {
    const wide = daysBetween(from.day, to.day);
    for (let day = from.day; day < to.day; day = dayPlus(day, 1)) {
      const share = daysBetween(from.day, day) / wide;
      if (day >= sown) soil.push(from.c + (to.c - from.c) * share);
    }
  };
  for (let day = sown; day < first.day; day = dayPlus(day, 1)) soil.push(first.c);
  for (const [i, here] of known.entries()) {
    const next = known[i + 1];
    if (!next || soil.length > MOST_DAYS) break;
    if (daysBetween(here.day, next.day) > GAP_DAYS) {
      soil.push(here.c);
      return { soil, broken: true };
    }
    fill(next, here);
  }
  const last = known.at(-1);
  if (last && soil.length <= MOST_DAYS) soil.push(last.c);
  return { soil, broken: last !== undefined && daysBetween(last.day, until) > GAP_DAYS };
}

export function comingUp(
  crops: readonly SownCrop[],
  steps: readonly CropStep[],
  soilOf: (place: string | undefined) => readonly WarmDay[] | undefined,
  today: string,
): ComingUp[] {
  const by = new Map<string, CropStep[]>();
  for (const step of steps) by.set(step.crop_id, [...(by.get(step.crop_id) ?? []), step]);
  const rows = crops.flatMap((crop): ComingUp[] => {
    const told = [...(by.get(crop.id) ?? [])].sort((a, b) => (a.day < b.day ? -1 : 1));
    const first = (what: string): string | undefined => told.find((step) => step.what === what)?.day;
    const chitted_on = first('chitted');
    const sown_on = first('sown') ?? (chitted_on ? first('planted') : undefined);
    if (!sown_on && !chitted_on) return [];
    // Whatever stage comes after sprouting shows that it is up; "coming up" says when.
    const up = told.find(
      (step) => step.what === 'stage' && stageCode(step.stage) === '09' && (!sown_on || step.day >= sown_on),
    )?.day;
    const by_then = sown_on && told.find((step) => step.day > sown_on && GROWN.has(step.what))?.day;
    const place = told.find((step) => step.place_id)?.place_id ?? crop.place_id;
    return [
      {
        crop_id: crop.id,
        kind: crop.kind,
        ...(crop.variety ? { variety: crop.variety } : {}),
        ...(place ? { place_id: place } : {}),
        ...(chitted_on ? { chitted_on } : {}),
        ...(sown_on ? { sown_on } : {}),
        ...(up ? { came_up_on: up } : {}),
        ...(by_then ? { up_by: by_then } : {}),
        ...(up && sown_on ? { took: daysBetween(sown_on, up) } : {}),
        ...(sown_on ? forecastOf(crop.kind, sown_on, soilOf(place), today) : {}),
      },
    ];
  });
  const when = (row: ComingUp): string => row.sown_on ?? row.chitted_on ?? '';
  return rows.sort((a, b) =>
    when(a) > when(b) ? -1 : when(a) < when(b) ? 1 : a.crop_id < b.crop_id ? -1 : 1,
  );
}

function forecastOf(
  kind: string,
  sown: string,
  soil: readonly WarmDay[] | undefined,
  today: string,
): Pick<ComingUp, 'forecast' | 'why_not'> {
  const crop = emergingCrop(kind);
  if (!crop) return { why_not: 'no_figures' };
  const since = soil && soilSince(soil, sown, today);
  if (!since) return { why_not: 'no_soil' };
  const said = emergence({ crop, soil_c: since.soil.slice(0, MOST_DAYS) });
  if (said.days === null || said.low_days === null || said.high_days === null) return { why_not: 'cold' };
  // It had not come up by the time the readings stop: the last days read say nothing of those after.
  if (since.broken && said.days > since.soil.length) return { why_not: 'soil_gap' };
  const after = (days: number): string => dayPlus(sown, Math.round(days));
  return { forecast: { from: after(said.low_days), to: after(said.high_days), middle: after(said.days) } };
}

/** The soil thermometer that stands for a place: its own, else the first on the walk. */
export function soilGlass(glasses: readonly Glass[], place: string | undefined): Glass | undefined {
  const soil = glasses
    .filter((glass) => glass.kind === 'thermometer' && glass.exposure === 'soil')
    .sort((a, b) => (a.walk_order ?? 0) - (b.walk_order ?? 0) || (a.id < b.id ? -1 : 1));
  return soil.find((glass) => glass.place_id === place) ?? soil[0];
}
