/** Which crops stand out in a night, and where: as the server has it (core/warnings/standing_crops.py). */
import { cropDamage } from './crop_damage';

// Days; all of these are common practice, no source.
const SEEDLINGS_AFTER = 7;
const SHOOTS_AFTER = 14;
const PICKED_OVER = 21;
const FORGOTTEN = 365;
const HARDENED_FOR = 21;
const RAISING = ['chitted', 'sown', 'potted', 'hardened', 'planted'];

/** A crop with what happened to it; dates are the plot's own, as YYYY-MM-DD. */
export type GrownCrop = {
  crop_id: string;
  kind: string;
  place_id?: string | null;
  started_on?: string | null;
  ended_on?: string | null;
  events: { on: string; what: string; stage?: string | null; place_id?: string | null }[];
};
export type StandingCrop = {
  crop_id: string;
  kind: string;
  place_id: string | null;
  stage: string | null;
  hardened: boolean;
};

/** Those that stand in the night that begins on `night`; `kinds` says of each place in use what it is. */
export function standingCrops(
  crops: readonly GrownCrop[],
  kinds: Readonly<Record<string, string>>,
  night: string,
): StandingCrop[] {
  return [...crops]
    .sort((a, b) => order(a.crop_id, b.crop_id))
    .flatMap((crop) => standing(crop, kinds, night));
}

function standing(crop: GrownCrop, kinds: Readonly<Record<string, string>>, night: string): StandingCrop[] {
  const events = [...crop.events].sort(
    (a, b) => order(a.on, b.on) || order(a.what, b.what) || order(a.stage ?? '', b.stage ?? ''),
  );
  const past = events.filter(({ on }) => on <= night);
  const place = past.findLast(({ place_id }) => place_id)?.place_id ?? crop.place_id ?? null;
  const kind = place === null ? undefined : kinds[place];
  if (kind === 'store' || (place !== null && kind === undefined)) return [];
  if (!isThere(crop, past, night) || !isOut(crop.kind, past, kind, night)) return [];
  const hardened = past.some(({ what, on }) => what === 'hardened' && daysFrom(on, night) <= HARDENED_FOR);
  const stage = past.findLast((event) => event.stage)?.stage ?? null;
  return [{ crop_id: crop.crop_id, kind: crop.kind, place_id: place, stage, hardened }];
}

function isThere(crop: GrownCrop, past: GrownCrop['events'], night: string): boolean {
  if (crop.started_on && crop.started_on > night) return false;
  if (crop.ended_on && crop.ended_on <= night) return false;
  if (past.length === 0 && !crop.started_on) return crop.events.length === 0;
  const last =
    [...past.map(({ on }) => on), ...(crop.started_on ? [crop.started_on] : [])].sort().at(-1) ?? night;
  const most = past.at(-1)?.what === 'harvested' ? PICKED_OVER : FORGOTTEN;
  return daysFrom(last, night) <= most;
}

function isOut(name: string, past: GrownCrop['events'], place: string | undefined, night: string): boolean {
  const raised = past.filter(({ what }) => RAISING.includes(what));
  if (raised.length === 0) return true;
  const first = (what: string) => raised.find((event) => event.what === what)?.on;
  const row = cropDamage(name);
  const planted = first('planted');
  if (planted) return row.crop !== 'potato' || daysFrom(planted, night) >= SHOOTS_AFTER;
  if (first('hardened')) return true;
  const begun = first('sown') ?? first('potted');
  if (!begun) return false;
  const covered = place === 'tunnel' || place === 'frame';
  const outdoors = covered || !(row.raised_indoors || first('potted'));
  return outdoors && daysFrom(begun, night) >= SEEDLINGS_AFTER;
}

function daysFrom(day: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00Z`) - Date.parse(`${day}T00:00Z`)) / 86_400_000);
}

function order(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
