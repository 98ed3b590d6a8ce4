/** A rule asked again over past seasons: what of the server's answer is shown. Pure. */

export interface Calls {
  hits: number;
  misses: number;
  false_alarms: number;
  cost: number;
  /** Share of what came that was warned of; of the warnings, for nothing; hits among both together. */
  pod: number | undefined;
  far: number | undefined;
  csi: number | undefined;
}
/** Chances between two tenths: how many times, what was said on average, what share came. */
export interface Chances {
  from: number;
  to: number;
  n: number;
  mean_p: number;
  observed: number;
}
export interface Replayed extends Calls {
  rule: string;
  /** What counts as having come. */
  event: string;
  n: number;
  brier: number | undefined;
  /** Of always saying the share that came. */
  brier_usual: number | undefined;
  reliability: Chances[];
  /** Times it came and nobody had read what the rule needs. */
  unread: number;
  cost_of_a_warning: number | undefined;
  loss_of_a_miss: number | undefined;
  lead_hours: number | undefined;
  beside: { always: Calls; never: Calls; published: Calls & { method: string } };
  says: string[];
}

/** Undefined where the answer is not one, or the rule could not be asked even once. */
export function readReplay(answer: unknown): Replayed | undefined {
  const all = record(answer);
  const beside = record(all.beside);
  const own = callsOf(all);
  const always = callsOf(record(beside.always));
  const never = callsOf(record(beside.never));
  const published = callsOf(record(beside.published));
  const n = number(all.n);
  if (!own || !always || !never || !published || !n || typeof all.rule !== 'string') return undefined;
  return {
    ...own,
    rule: all.rule,
    event: String(all.event ?? ''),
    n,
    brier: number(all.brier),
    brier_usual: number(all.brier_climatology),
    reliability: Array.isArray(all.reliability) ? all.reliability.flatMap(chancesOf) : [],
    unread: number(all.unread) ?? 0,
    cost_of_a_warning: number(all.cost_of_a_warning),
    loss_of_a_miss: number(all.loss_of_a_miss),
    lead_hours: number(all.lead_hours),
    beside: {
      always,
      never,
      published: { ...published, method: String(record(beside.published).method ?? '') },
    },
    says: Array.isArray(all.says) ? all.says.filter((one) => typeof one === 'string') : [],
  };
}

function callsOf(of: Record<string, unknown>): Calls | undefined {
  const [hits, misses, false_alarms, cost] = [of.hits, of.misses, of.false_alarms, of.cost].map(number);
  if (hits === undefined || misses === undefined || false_alarms === undefined) return undefined;
  const [pod, far, csi] = [of.pod, of.far, of.csi].map(number);
  return { hits, misses, false_alarms, cost: cost ?? 0, pod, far, csi };
}

function chancesOf(given: unknown): Chances[] {
  const of = record(given);
  const [from, to, n, mean_p, observed] = [of.from, of.to, of.n, of.mean_p, of.observed].map(number);
  if (from === undefined || to === undefined || !n || mean_p === undefined || observed === undefined)
    return [];
  return [{ from, to, n, mean_p, observed }];
}

/** A rule that only says yes or no gives no chances to be held against what came. */
export function givesChances({ reliability }: Pick<Replayed, 'reliability'>): boolean {
  return reliability.some(({ mean_p }) => mean_p > 0 && mean_p < 1);
}

export type Way = 'rule' | 'published' | 'always' | 'never';
/** The ways that would have cost the least. */
export function cheapest({ cost, beside }: Replayed): { ways: Way[]; cost: number } {
  const costs: Record<Way, number> = {
    rule: cost,
    published: beside.published.cost,
    always: beside.always.cost,
    never: beside.never.cost,
  };
  const least = Math.min(...Object.values(costs));
  const ways = (Object.keys(costs) as Way[]).filter((way) => costs[way] === least);
  return { ways, cost: least };
}

function record(value: unknown): Record<string, unknown> {
  return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};
}

function number(value: unknown): number | undefined {
  return typeof value === 'number' ? value : undefined;
}
