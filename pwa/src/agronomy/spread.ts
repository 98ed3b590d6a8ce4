/**
 * Clumped, random or even? Moments and indices of a set of counts, without any fitted law.
 *
 * Fisher 1925, Statistical Methods for Research Workers (dispersion test, from memory); Lloyd 1967, mean
 * crowding, J. Animal Ecology 36:1; Morisita 1959, Mem. Fac. Sci. Kyushu Univ. E 2:215.
 */
import { incompleteGamma } from './special/gamma';

export type Spread = ReturnType<typeof spread>;

/** What is undefined is null; the sum of squares is taken about the mean, so that no digits cancel. */
export function spread(counts: number[]) {
  const n = counts.length;
  const total = counts.reduce((sum, x) => sum + x, 0);
  const mean = total / n;
  const squares = counts.reduce((sum, x) => sum + (x - mean) ** 2, 0);
  const variance = n > 1 ? squares / (n - 1) : null;
  const pairs = counts.reduce((sum, x) => sum + x * (x - 1), 0);
  // n (n - 1) times the excess of the variance over the mean, exact: a single find must not look clumped.
  const excess = n * pairs - total * (total - 1);
  const ratio = variance === null || total === 0 ? null : variance / mean;
  return {
    n,
    total,
    mean,
    variance,
    variance_mean_ratio: ratio,
    n_zero: counts.filter((x) => x === 0).length,
    k_moment: ratio !== null && excess > 0 ? (mean * total * (n - 1)) / excess : null,
    dispersion_chi2: ratio === null ? null : squares / mean,
    dispersion_df: n - 1,
    dispersion_p: ratio === null ? null : incompleteGamma((n - 1) / 2, squares / mean / 2).upper,
    lloyd: ratio === null ? null : mean + ratio - 1,
    morisita: total > 1 ? (n * pairs) / (total * (total - 1)) : null,
  };
}
