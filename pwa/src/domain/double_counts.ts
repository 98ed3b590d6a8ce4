/**
 * Which of several counts of one board in one round stands. Pure.
 *
 * Two people may turn the same board; both counts are kept. One that somebody settled (`stands`) wins, those set
 * aside do not count, and two numbers that are left are a double count: none stands until a person says which.
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
