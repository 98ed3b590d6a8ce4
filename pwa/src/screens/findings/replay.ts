/** A rule asked again over past seasons: what of the server's answer is shown. Pure. */

export interface Calls {
  hits: number;
  misses: number;
  false_alarms: number;
  cost: number;
}
export interface Replayed extends Calls {
  rule: string;
  /** What counts as having come. */
  event: string;
  n: number;
  brier: number | undefined;
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
  return { hits, misses, false_alarms, cost: cost ?? 0 };
}

function record(value: unknown): Record<string, unknown> {
  return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};
}

function number(value: unknown): number | undefined {
  return typeof value === 'number' ? value : undefined;
}
