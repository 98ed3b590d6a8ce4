/** All years, the newest first: from what was kept of them at once, then read anew where anything may have changed. */
import { useEffect, useState } from 'preact/hooks';
import { changes, list, setMeta, whenQuiet } from '../../storage';
import { localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import {
  asReading,
  dayOfRound,
  type FindingsGround,
  type KeptYear,
  keptYear,
  standingNow,
  yearKey,
} from './load';
import type { RoundView } from './model';
import { asCount, asRound } from './season_book';
import {
  DIGEST_VERSION,
  emptyYear,
  monthsOf,
  readingSpan,
  withReadings,
  withRounds,
  type YearDigest,
} from './years';

export interface Years {
  /** Newest first. */
  digests: YearDigest[];
  /** Years still to be read, and how many there are. */
  left: number;
  all: number;
}

const TYPES = ['round', 'slug_count', 'temperature', 'station', 'plot', '*'];
/** A sync brings many records at once: reading begins when it has been still for so long. */
const STILL_MS = 1_500;
/** Between two months: a finger on the screen goes first. */
const BREATH_MS = 30;

/** `wanted`: how many years back; begins with this one. */
export function useYears(
  facts: PlotFacts | undefined,
  ground: FindingsGround | undefined,
  wanted: number,
): Years | undefined {
  const [years, setYears] = useState<Years>();
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const stop = changes.subscribe(({ types }) => {
      if (!TYPES.some((type) => types.has(type))) return;
      clearTimeout(timer);
      timer = setTimeout(() => setTurn((n) => n + 1), STILL_MS);
    });
    return () => {
      clearTimeout(timer);
      stop();
    };
  }, []);
  const zone = facts?.time_zone;
  useEffect(() => {
    if (!facts || !ground || wanted === 0) return;
    const run = { gone: false };
    void readYears(facts, ground, wanted, run, setYears);
    return () => {
      run.gone = true;
    };
  }, [zone, facts?.habit, ground, wanted, turn]);
  return years;
}

type Run = { gone: boolean };

async function readYears(
  facts: PlotFacts,
  ground: FindingsGround,
  wanted: number,
  run: Run,
  show: (years: Years) => void,
): Promise<void> {
  await whenQuiet(800);
  const today = localDay(new Date(), facts.time_zone);
  const thisYear = Number(today.slice(0, 4));
  const rounds = wanted > 2 ? (await list('round')).map(asRound) : undefined;
  const first = rounds
    ? Math.min(thisYear - 1, ...rounds.map((round) => yearOf(round, facts.time_zone)).filter((y) => y > 0))
    : thisYear - wanted + 1;
  const all = Array.from({ length: thisYear - first + 1 }, (_, i) => thisYear - i);
  const { stamp, settled } = await standingNow();
  const found = new Map<number, YearDigest>();
  const stale: number[] = [];
  for (const year of all) {
    const kept = await keptYear(year);
    if (kept) found.set(year, kept.digest);
    if (kept?.stamp !== stamp || !settled) stale.push(year);
  }
  const tell = (left: number): void => {
    const digests = all.flatMap((year) => found.get(year) ?? []);
    if (!run.gone) show({ digests, left, all: all.length });
  };
  tell(stale.length);
  for (const [i, year] of stale.entries()) {
    const digest = await readYear(year, facts, ground, today, run);
    if (!digest || run.gone) return;
    found.set(year, digest);
    tell(stale.length - i - 1);
    const now = await standingNow();
    if (settled && now.settled && now.stamp === stamp)
      await setMeta(yearKey(year), { version: DIGEST_VERSION, stamp, digest } satisfies KeptYear);
  }
}

function yearOf(round: RoundView, zone: string): number {
  return Number(dayOfRound(round, zone).slice(0, 4));
}

/** Month by month, with a breath between: the screen stays quick meanwhile. */
async function readYear(
  year: number,
  facts: PlotFacts,
  ground: FindingsGround,
  today: string,
  run: Run,
): Promise<YearDigest | undefined> {
  const zone = facts.time_zone;
  let digest = emptyYear(year);
  const readings = [];
  for (const month of monthsOf(year, today)) {
    if (run.gone) return undefined;
    const [rounds, counts, temperatures] = await Promise.all([
      list('round', month),
      list('slug_count', month),
      list('temperature', readingSpan(month)),
    ]);
    readings.push(...temperatures.map(asReading));
    digest = withRounds(digest, rounds.map(asRound), counts.map(asCount), ground, zone);
    await new Promise((done) => setTimeout(done, BREATH_MS));
  }
  const { latitude, longitude } = facts.plot?.body ?? {};
  const spot = typeof latitude === 'number' && typeof longitude === 'number' ? { latitude, longitude } : {};
  return withReadings(digest, readings, ground, { time_zone: zone, habit: facts.habit, ...spot });
}
