/** The mean of counts that come in groups (one bed, one evening), without believing each board alone. */
import { tTwoSided } from './special/beta';

/**
 * Limits of the mean when boards of one group go up and down together: sandwich variance of a Poisson mean with
 * G/(G - 1), log scale, t with G - 1 degrees of freedom (Liang & Zeger 1986, Biometrika 73:13). Null with fewer
 * than two groups or nothing counted.
 */
export function clusterLimits(
  counts: number[],
  clusters: string[],
  coverage: number,
): { low: number; high: number; groups: number } | null {
  const total = counts.reduce((sum, x) => sum + x, 0);
  const mean = total / counts.length;
  const sums = new Map<string, number>();
  counts.forEach((x, i) => {
    const name = clusters[i] ?? '';
    sums.set(name, (sums.get(name) ?? 0) + x - mean);
  });
  const groups = sums.size;
  if (groups < 2 || total === 0) return null;
  let squares = 0;
  for (const rest of sums.values()) squares += rest * rest;
  const error = Math.sqrt((squares * groups) / (groups - 1)) / total;
  const reach = Math.exp(tTwoSided(coverage, groups - 1) * error);
  return { low: mean / reach, high: mean * reach, groups };
}
