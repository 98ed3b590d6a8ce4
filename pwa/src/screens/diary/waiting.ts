/** What is due from treatments: harvest intervals that are not over, drenches that can be scored. Pure. */
import { byDay, dayPlus, localDay } from '../forms/local_time';
import type { DiaryView } from './model';
import { isDrench, type TreatmentKind } from './treatment';

export interface Wait {
  place_id: string;
  /** First day on which the label allows harvest. */
  until: string;
  treatment: DiaryView;
}

/** What was put on: its product, or its kind where no product is named. */
function productOf({ body }: DiaryView): string {
  return String(body.product ?? body.kind ?? '')
    .trim()
    .toLowerCase();
}

/**
 * Harvest intervals that are not over on `today`, one for each place and product, the last of its treatments
 * counting; soonest over first.
 */
export function waits(treatments: readonly DiaryView[], zone: string, today: string): Wait[] {
  const longest = new Map<string, Wait>();
  for (const treatment of treatments) {
    const { harvest_interval_days: days, observed_at, place_ids } = treatment.body;
    if (treatment.deleted || typeof days !== 'number' || !Array.isArray(place_ids)) continue;
    const until = dayPlus(localDay(String(observed_at), zone), days);
    if (until <= today) continue;
    for (const place_id of place_ids as string[]) {
      const key = JSON.stringify([place_id, productOf(treatment)]);
      if ((longest.get(key)?.until ?? '') < until) longest.set(key, { place_id, until, treatment });
    }
  }
  return [...longest.values()].sort((a, b) => byDay(a.until, b.until));
}

export interface PlaceWait {
  place_id: string;
  /** The last of its intervals: nothing may be harvested before. */
  until: string;
  /** Each product with its own day, the last first. */
  products: { treatment: DiaryView; until: string }[];
}

/** The same by place, the place that is free soonest first. */
export function waitsByPlace(still: readonly Wait[]): PlaceWait[] {
  const places = new Map<string, PlaceWait>();
  for (const { place_id, until, treatment } of [...still].reverse()) {
    const place = places.get(place_id) ?? { place_id, until, products: [] };
    place.products.push({ treatment, until });
    places.set(place_id, place);
  }
  return [...places.values()].sort((a, b) => byDay(a.until, b.until));
}

/** Days after a drench in which boards say whether it worked; core/warnings/rules/nematode_window.py has the source. */
const SCORE_FROM = 7;
const SCORE_TO = 42;

export interface Scoring {
  treatment: DiaryView;
  from: string;
  to: string;
}

/** Drenches whose effect shows now or will: from `from` to `to`, soonest over first. */
export function scorings(treatments: readonly DiaryView[], zone: string, today: string): Scoring[] {
  return treatments
    .filter(({ deleted, body }) => !deleted && isDrench(body.kind as TreatmentKind))
    .map((treatment) => {
      const day = localDay(String(treatment.body.observed_at), zone);
      return { treatment, day, from: dayPlus(day, SCORE_FROM), to: dayPlus(day, SCORE_TO) };
    })
    .filter(({ day, to }) => day <= today && to >= today)
    .sort((a, b) => byDay(a.to, b.to))
    .map(({ treatment, from, to }) => ({ treatment, from, to }));
}
