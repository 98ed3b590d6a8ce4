/** Harvest intervals of treated places that are not over. Pure. */
import { dayPlus, localDay } from '../forms/local_time';
import type { DiaryView } from './model';

export interface Wait {
  place_id: string;
  /** First day on which the label allows harvest. */
  until: string;
  treatment: DiaryView;
}

/** Places whose harvest interval is not over on `today`, the longest wait of each. */
export function waits(treatments: readonly DiaryView[], zone: string, today: string): Wait[] {
  const longest = new Map<string, Wait>();
  for (const treatment of treatments) {
    const { harvest_interval_days: days, observed_at, place_ids } = treatment.body;
    if (treatment.deleted || typeof days !== 'number' || !Array.isArray(place_ids)) continue;
    const until = dayPlus(localDay(String(observed_at), zone), days);
    if (until <= today) continue;
    for (const place_id of place_ids as string[]) {
      if ((longest.get(place_id)?.until ?? '') < until) longest.set(place_id, { place_id, until, treatment });
    }
  }
  return [...longest.values()].sort((a, b) => a.until.localeCompare(b.until));
}
