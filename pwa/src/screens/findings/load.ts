/** What the pictures read from the phone. */
import { list, meta, setMeta, type View, whenQuiet } from '../../storage';
import { store } from '../../storage/phone';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { inWalkingOrder } from '../plot/model';
import type { PastReading } from '../readings/model';
import { RANK_DAYS } from './bed_ranks';
import { type BoardView, knowReckoned, type Point, pressure, type RoundView, reckonedSoFar } from './model';
import { asCount, asRound, season } from './season_book';
import type { Glass } from './warm_days';
import { DIGEST_VERSION, type YearDigest } from './years';

/** Days that the first picture looks back on: half a year. */
export const SEASON_DAYS = 183;

export interface Mark {
  day: string;
  label: string;
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

/** Where the records of this phone stand. The same stamp, and nothing unsent: no record has changed. */
export async function standingNow(): Promise<{ stamp: string; settled: boolean }> {
  const [standing, unsent] = await Promise.all([
    meta<{ epoch?: string; cursor?: string }>('standing'),
    store.read(['outbox'], (tx) => tx.count('outbox')),
  ]);
  const stamp = JSON.stringify([standing?.epoch ?? '', standing?.cursor ?? '']);
  return { stamp, settled: unsent === 0 };
}

export interface KeptYear {
  version: number;
  stamp: string;
  digest: YearDigest;
}
export const yearKey = (year: number): string => `findings/${year}`;

/** What was kept of a year, if it holds what this program would keep of it. */
export async function keptYear(year: number): Promise<KeptYear | undefined> {
  const kept = await meta<KeptYear>(yearKey(year));
  return kept?.version === DIGEST_VERSION ? kept : undefined;
}

export interface Season {
  points: Point[];
  /** Days before this one are not among them. */
  from: string;
}

/** The last half year: from what was kept of its years while no record has changed since, else from the records. */
export async function loadSeason(facts: PlotFacts, boards: readonly BoardView[]): Promise<Season> {
  const timeZone = facts.time_zone;
  const today = localDay(new Date(), timeZone);
  const from = dayPlus(today, -SEASON_DAYS);
  const years = [...new Set([from, today].map((day) => Number(day.slice(0, 4))))];
  const [{ stamp, settled }, ...kept] = await Promise.all([standingNow(), ...years.map(keptYear)]);
  if (settled && kept.every((year) => year?.stamp === stamp)) {
    const points = kept.flatMap((year) => year?.digest.points ?? []).filter((point) => point.day >= from);
    if (points.length > 0) return { points, from };
  }
  return await readSeason(facts, from, boards);
}

async function readSeason(facts: PlotFacts, since: string, boards: readonly BoardView[]): Promise<Season> {
  const timeZone = facts.time_zone;
  const known = loadSummaries();
  // Lists are cut by the plot's own zone, and by the days as written where it has none.
  const kept = await season(store, facts.plot?.body.time_zone ?? '', since, readAll, whenQuiet);
  const { rounds, counts } = kept.rounds.length > 0 ? kept : await lastWalked(timeZone);
  const days = rounds.map((round) => dayOfRound(round, timeZone)).filter(Boolean);
  const from = [...days, since].sort()[0] ?? since;
  await known;
  return { points: pressure(rounds, counts, timeZone, boards), from };
}

async function readAll(from: string) {
  const [rounds, counts] = await Promise.all([list('round', { from }), list('slug_count', { from })]);
  return { rounds: rounds.map(asRound), counts: counts.map(asCount) };
}

/** A plot that nobody walked this half year still has its last one. */
async function lastWalked(timeZone: string) {
  const rounds = newest((await list('round')).map(asRound), timeZone);
  const from = rounds.map((round) => dayOfRound(round, timeZone)).sort()[0];
  const counts = from === undefined ? [] : (await list('slug_count', { from })).map(asCount);
  return { rounds, counts };
}

export function dayOfRound(round: RoundView, timeZone: string): string {
  const at = round.observed_at ?? round.started_at;
  return at === undefined ? '' : localDay(at, timeZone);
}

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

/** Rounds and counts of the weeks by which beds are ranked, before the newest of these days. */
export async function loadWeeks(timeZone: string, points: readonly Point[]) {
  const last = points.filter((point) => point.kind !== 'not_valid').at(-1)?.day;
  if (last === undefined) return { rounds: [], counts: [] };
  const span = { from: dayPlus(last, -RANK_DAYS), to: last };
  const [rounds, counts] = await Promise.all([list('round', span), list('slug_count', span)]);
  const walked = rounds.map(asRound).map((round) => {
    return { id: round.id, day: dayOfRound(round, timeZone), valid: round.valid !== false };
  });
  return { rounds: walked.filter(({ day }) => day !== ''), counts: counts.map(asCount) };
}
