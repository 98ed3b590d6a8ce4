/**
 * Which of several counts of one board in one round stands. Pure.
 *
 * Two people may turn the same board; both counts are kept. One that somebody settled (`stands`) wins, those set
 * aside do not count, and two numbers that are left are a double count: none stands until a person says which. A
 * person may also say that nobody can tell (`stands` on all): then both are kept, the board stays out of the means,
 * and nobody is asked again.
 */
export interface CountLike {
  state?: string;
  count?: number;
  stands?: boolean;
  set_aside?: boolean;
}

export interface Standing<C> {
  one: C | undefined;
  double: boolean;
}

/** A double count of which a person said that all its numbers are to be kept: nothing is left to settle. */
export function allKept(counts: readonly CountLike[]): boolean {
  const left = counts.filter((count) => count.set_aside !== true);
  return left.length > 1 && left.every((count) => count.stands === true);
}

export function standing<C extends { body: CountLike }>(views: readonly C[]): Standing<C> {
  const settled = views.filter((view) => view.body.stands === true);
  if (settled.length === 1) return { one: settled[0], double: false };
  const left = views.filter((view) => view.body.set_aside !== true);
  if (left.length <= 1) return { one: left[0], double: false };
  const numbers = left.filter((view) => numberOn(view.body) !== undefined);
  // "Could not turn" beside a number is no dispute: somebody else could.
  if (numbers.length === 1) return { one: numbers[0], double: false };
  return numbers.length > 1 ? { one: undefined, double: true } : { one: left[0], double: false };
}

/** The slugs a count says were there; undefined when nobody could look. */
export function numberOn(body: CountLike): number | undefined {
  if (body.state === 'none_found') return 0;
  return body.state === 'counted' ? body.count : undefined;
}

export interface CountInRound extends CountLike {
  round_id?: string;
  station_id?: string;
  observed_at?: string;
}

export interface Double<C> {
  round_id: string;
  station_id: string;
  counts: C[];
}

/** Boards counted more than once in a round, of which nobody has yet said which count stands. Newest first. */
export function unsettledDoubles<C extends CountInRound>(counts: readonly C[]): Double<C>[] {
  const groups = new Map<string, Double<C>>();
  for (const count of counts) {
    if (!count.round_id || !count.station_id || count.set_aside === true) continue;
    const key = `${count.round_id} ${count.station_id}`;
    const group = groups.get(key) ?? { round_id: count.round_id, station_id: count.station_id, counts: [] };
    group.counts.push(count);
    groups.set(key, group);
  }
  const latest = (group: Double<C>) =>
    Math.max(...group.counts.map((count) => Date.parse(count.observed_at ?? '') || 0));
  return [...groups.values()]
    .filter((group) => group.counts.length > 1 && !isSettled(group.counts))
    .sort((a, b) => latest(b) - latest(a));
}

/** No dispute by the rule of the house, or a person said that all are kept. */
function isSettled(counts: readonly CountInRound[]): boolean {
  return allKept(counts) || !standing(counts.map((body) => ({ body }))).double;
}
