/** The last rounds as a warning of slugs sees them: slugs on the boards it is about, from the phone's records. */
import { list, type View } from '../../storage';
import { type CountView, settledCounts } from '../findings/model';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';

export interface RoundBar {
  round_id: string;
  day: string;
  slugs: number;
  boards: number;
  /** One of the rounds the warning is about. */
  warned: boolean;
}
export interface CountFacts {
  bars: RoundBar[];
  /** So many of the newest rounds are judged together. */
  together: number;
  /** Slugs in them and what is usual in them; the limit is that of the newest round alone. */
  slugs: number;
  usual: number;
  limit: number;
}

const LAST = 12;
const DAYS = 120;

/** Undefined for warnings of other things. */
export async function countFactsOf(view: View<'warning'>, facts: PlotFacts): Promise<CountFacts | undefined> {
  const { numbers, place_ids = [], key = '' } = view.body;
  const usual = numbers?.usual_slugs;
  const limit = numbers?.limit_slugs;
  const slugs = numbers?.slugs;
  const day = numbers?.round_on;
  const together = typeof numbers?.rounds_together === 'number' ? numbers.rounds_together : 1;
  if (typeof usual !== 'number' || typeof limit !== 'number' || typeof slugs !== 'number') return undefined;
  if (typeof day !== 'string') return undefined;
  const span = { from: dayPlus(day, -DAYS), to: day };
  const [rounds, counts, stations] = await Promise.all([
    list('round', span),
    list('slug_count', span),
    list('station'),
  ]);
  // A warning of one part of the plot names it in its key; one of the whole plot only lists its worst parts.
  const part = place_ids.find((id) => key.startsWith(id));
  const boards = new Set(stations.filter(({ body }) => !part || body.place_id === part).map(({ id }) => id));
  const ofRound = new Map<string, CountView[]>();
  for (const count of counts) {
    const { round_id, station_id } = count.body;
    if (!round_id || !boards.has(station_id ?? '')) continue;
    const one = { ...known(count.body), id: count.id, conflicted: count.conflicts.length > 0 } as CountView;
    ofRound.set(round_id, [...(ofRound.get(round_id) ?? []), one]);
  }
  return {
    bars: barsOf(rounds, ofRound, { warned: numbers?.round_id, together, time_zone: facts.time_zone }),
    together,
    slugs,
    usual,
    limit,
  };
}

/** Valid dawn rounds only, the last dozen of them. */
export function barsOf(
  rounds: readonly Pick<View<'round'>, 'id' | 'body'>[],
  ofRound: ReadonlyMap<string, readonly CountView[]>,
  about: { warned: unknown; together: number; time_zone: string },
): RoundBar[] {
  const bars = rounds
    .filter(({ body }) => body.kind === 'dawn' && body.valid !== false && body.disturbed !== true)
    .flatMap(({ id, body }): RoundBar[] => {
      const settled = settledCounts([...(ofRound.get(id) ?? [])]).counts;
      if (settled.length === 0 || !body.observed_at) return [];
      return [
        {
          round_id: id,
          day: localDay(body.observed_at, about.time_zone),
          slugs: settled.reduce((sum, n) => sum + n, 0),
          boards: settled.length,
          warned: false,
        },
      ];
    });
  const at = bars.findIndex((bar) => bar.round_id === about.warned);
  return bars.map((bar, i) => ({ ...bar, warned: i <= at && i > at - about.together })).slice(-LAST);
}
