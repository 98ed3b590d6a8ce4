/** What the pictures read from the phone. */
import { list, meta, setMeta, type View } from '../../storage';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import { inWalkingOrder } from '../plot/model';
import type { PastReading } from '../readings/model';
import { type BoardView, type CountView, knowReckoned, type RoundView, reckonedSoFar } from './model';
import type { Glass } from './warm_days';
import { DIGEST_VERSION } from './years';

/** Days that the first picture looks back on: half a year. */
export const SEASON_DAYS = 183;

export interface Mark {
  day: string;
  label: string;
}

export function asRound(view: View<'round'>): RoundView {
  return { ...known(view.body), id: view.id, conflicted: view.conflicts.length > 0 } as RoundView;
}
export function asCount(view: View<'slug_count'>): CountView {
  return { ...known(view.body), id: view.id, conflicted: view.conflicts.length > 0 } as CountView;
}
export function asReading(view: View<'temperature'>): PastReading {
  return { ...known(view.body), id: view.id } as unknown as PastReading;
}

export async function loadGround() {
  const [stations, places] = await Promise.all([list('station'), list('place')]);
  const all = inWalkingOrder(stations.map((view) => ({ ...known(view.body), id: view.id })));
  return {
    boards: all.filter(({ kind }) => kind === 'slug_board') as BoardView[],
    glasses: all.filter(({ kind }) => kind === 'thermometer' || kind === 'grass_minimum') as Glass[],
    stations: all,
    places: places.map((view) => ({ ...known(view.body), id: view.id })),
    label: new Map(places.map((view) => [view.id, view.body.label ?? ''])),
  };
}
export type FindingsGround = Awaited<ReturnType<typeof loadGround>>;

const SUMMARIES = 'findings/summaries';
interface KeptSummaries {
  version: number;
  summaries: ReturnType<typeof reckonedSoFar>;
}

/** Summaries reckoned when the app was open before. */
export async function loadSummaries(): Promise<void> {
  const kept = await meta<KeptSummaries>(SUMMARIES);
  if (kept?.version === DIGEST_VERSION) knowReckoned(kept.summaries);
}

export async function keepSummaries(): Promise<void> {
  await setMeta(SUMMARIES, { version: DIGEST_VERSION, summaries: reckonedSoFar() } satisfies KeptSummaries);
}

/** The last half year before the newest round; nothing older is read for the first picture. */
export async function loadSeason(timeZone: string) {
  const today = localDay(new Date(), timeZone);
  const known = loadSummaries();
  let rounds = (await list('round', { from: dayPlus(today, -SEASON_DAYS) })).map(asRound);
  if (rounds.length === 0) rounds = newest((await list('round')).map(asRound), timeZone);
  const days = rounds.map((round) => dayOfRound(round, timeZone)).filter(Boolean);
  const from = [...days, today].sort()[0] ?? today;
  const counts = rounds.length === 0 ? [] : (await list('slug_count', { from })).map(asCount);
  await known;
  return { rounds, counts, from };
}
export type Season = Awaited<ReturnType<typeof loadSeason>>;

export function dayOfRound(round: RoundView, timeZone: string): string {
  const at = round.observed_at ?? round.started_at;
  return at === undefined ? '' : localDay(at, timeZone);
}

/** A plot that nobody walked this half year still has its last one. */
function newest(rounds: readonly RoundView[], timeZone: string): RoundView[] {
  const last =
    rounds
      .map((round) => dayOfRound(round, timeZone))
      .sort()
      .at(-1) ?? '';
  if (last === '') return [];
  const from = dayPlus(last, -SEASON_DAYS);
  return rounds.filter((round) => dayOfRound(round, timeZone) >= from);
}

/** Where the records of this phone stand; the same stamp means that nothing has come from elsewhere. */
export async function stampOf(): Promise<string> {
  const standing = await meta<{ epoch?: string; cursor?: string }>('standing');
  return JSON.stringify([standing?.epoch ?? '', standing?.cursor ?? '']);
}
