/**
 * Double counts of the years before the last weeks. Ten years are a hundred thousand counts: they are looked through
 * once the screen stands, month by month, with a breath between.
 */
import { useEffect, useState } from 'preact/hooks';
import { changes, list, type View, whenQuiet } from '../../storage';
import { dayPlus, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { countRows } from './count_rows';
import { type DoubleCount, doubleCounts } from './model';

/** Days that the screen reads at once; also how far back the badge counts (sync/counts.ts). */
export const RECENT_DAYS = 60;

const MONTH_DAYS = 30;
const BREATH_MS = 30;
/** A sync brings many records at once: looking begins when it has been still for so long. */
const STILL_MS = 1_500;

export function recentFrom(timeZone: string): string {
  return dayPlus(localDay(new Date(), timeZone), -RECENT_DAYS);
}

/** What was found when the screen was open before; it stands while no record has changed since. */
let kept: { told: number; zone: string; old: OldDoubles } | undefined;

export interface OldDoubles {
  found: readonly DoubleCount[];
  /** The rounds they were counted in. */
  rounds: ReadonlyMap<string, View<'round'>['body']>;
}
const NONE: OldDoubles = { found: [], rounds: new Map() };

export function useOldDoubles({ time_zone: zone }: PlotFacts): OldDoubles {
  const [turn, setTurn] = useState(0);
  const [old, setOld] = useState(kept?.old ?? NONE);
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const stop = changes.subscribe(({ types }) => {
      if (!types.has('slug_count') && !types.has('*')) return;
      clearTimeout(timer);
      timer = setTimeout(() => setTurn((n) => n + 1), STILL_MS);
    });
    return () => {
      clearTimeout(timer);
      stop();
    };
  }, []);
  useEffect(() => {
    if (kept?.told === changes.told() && kept.zone === zone) return;
    const run = { gone: false };
    void look(zone, run).then((all) => {
      if (all) setOld(all);
    });
    return () => {
      run.gone = true;
    };
  }, [zone, turn]);
  return old;
}

async function look(zone: string, run: { gone: boolean }): Promise<OldDoubles | undefined> {
  await whenQuiet();
  const told = changes.told();
  const rounds = await list('round');
  const first = localDay(rounds[0]?.body.observed_at ?? new Date(), zone);
  const found: DoubleCount[] = [];
  // A round may go past midnight: each stretch overlaps the one after it by a day.
  for (let to = dayPlus(recentFrom(zone), 1); ; to = dayPlus(to, -MONTH_DAYS)) {
    if (run.gone) return undefined;
    const last = to < first;
    const counts = await countRows(last ? { to } : { from: dayPlus(to, -MONTH_DAYS - 1), to });
    found.push(...doubleCounts(counts));
    if (last) break;
    await new Promise((done) => setTimeout(done, BREATH_MS));
  }
  const of = new Set(found.map(({ round_id }) => round_id));
  const inThem = rounds.filter(({ id }) => of.has(id)).map(({ id, body }) => [id, body] as const);
  const old = { found, rounds: new Map(inThem) };
  kept = { told, zone, old };
  return old;
}

/** Recent ones first; one that was met twice is asked about once. */
export function together(recent: readonly DoubleCount[], old: readonly DoubleCount[]): DoubleCount[] {
  const seen = new Set<string>();
  return [...recent, ...old].filter(({ round_id, station_id }) => {
    const key = `${round_id} ${station_id}`;
    const isNew = !seen.has(key);
    seen.add(key);
    return isNew;
  });
}
