/** Tails and quantiles of the normal law, through the incomplete gamma function: chi-squared with one degree of freedom. */
import { incompleteGamma, normalUpper } from './gamma';

/** P(Z <= z) and P(Z > z); each keeps its digits where it is small. */
export function normalTails(z: number): { lower: number; upper: number } {
  const { lower, upper } = incompleteGamma(0.5, (z * z) / 2);
  const [far, near] = [upper / 2, 0.5 + lower / 2];
  return z < 0 ? { lower: far, upper: near } : { lower: near, upper: far };
}

/** z below which a share p of the normal law lies. */
export function normalQuantile(p: number): number {
  if (p === 0.5) return 0;
  return p < 0.5 ? -normalUpper(p) : normalUpper(1 - p);
}
