/** A number with its interval against a limit, found among the numbers of a warning by their names. Pure. */

export interface LimitFacts {
  value: number | undefined;
  low: number;
  high: number | undefined;
  limit: number;
  /** "per board", "per m2": what the number is counted by. */
  per: string;
}
type Numbers = Record<string, unknown> | undefined;

/** Names of a limit, and of what is held against it, by stem: `threshold_per_board` against `mean_per_board`. */
const LIMITS = /^(?:threshold|limit|line|tolerated)_(per_\w+)$/;

export function limitOf(numbers: Numbers): LimitFacts | undefined {
  for (const [name, limit] of Object.entries(numbers ?? {})) {
    const per = LIMITS.exec(name)?.[1];
    if (!per || typeof limit !== 'number') continue;
    const named = (end: string): number | undefined => {
      const found = Object.entries(numbers ?? {}).find(
        ([key, value]) => typeof value === 'number' && key !== name && key.endsWith(per + end),
      );
      return found?.[1] as number | undefined;
    };
    const value = named('');
    const low = named('_low');
    const high = named('_high');
    if (value === undefined && high === undefined) continue;
    return { value, low: low ?? 0, high, limit, per: per.replaceAll('_', ' ').replace('m2', 'm²') };
  }
  return undefined;
}
