/**
 * Limits of the mean of each bed when its boards are turned again and again. Pure.
 *
 * One board goes up and down with itself, so a bed is as sure as its boards agree, not as it was turned often. Beds have
 * two or three boards, too few to see that in one bed: the scatter of boards about their own bed is pooled over all beds
 * (Pearson's chi-squared over its degrees of freedom, never under 1), and limits are t limits on the log scale:
 * McCullagh and Nelder 1989, Generalized Linear Models, 2nd ed., sections 4.5 and 6.2.
 */
import { tTwoSided } from '../../agronomy/special/beta';

/** A board over the weeks: how often it gave a number, and the slugs of all those turns. */
export interface BoardSum {
  turns: number;
  slugs: number;
}
export interface BedLimits {
  low: number;
  /** Null: beyond all use, drawn with an open end. */
  high: number | null;
}

const LEVEL = 0.95;
/** Over so many times the mean an upper limit says no more than "open". */
const OPEN = 50;

/** Undefined when no bed has two boards, or nothing was found: then nobody can see how boards differ. */
export function pooledLimits(beds: readonly (readonly BoardSum[])[]): BedLimits[] | undefined {
  const scatter = dispersion(beds);
  if (!scatter) return undefined;
  const t = tTwoSided(LEVEL, scatter.df);
  return beds.map((boards) => {
    const turns = boards.reduce((sum, board) => sum + board.turns, 0);
    const slugs = boards.reduce((sum, board) => sum + board.slugs, 0);
    // Nothing found: the Poisson limit of nought, widened by the scatter.
    if (slugs === 0) return { low: 0, high: (-Math.log((1 - LEVEL) / 2) * scatter.phi) / turns };
    const reach = Math.exp(t * Math.sqrt(scatter.phi / slugs));
    const mean = slugs / turns;
    return { low: mean / reach, high: reach > OPEN ? null : mean * reach };
  });
}

function dispersion(beds: readonly (readonly BoardSum[])[]): { phi: number; df: number } | undefined {
  let [squares, df] = [0, 0];
  for (const boards of beds) {
    const turns = boards.reduce((sum, board) => sum + board.turns, 0);
    const mean = boards.reduce((sum, board) => sum + board.slugs, 0) / turns;
    if (!(mean > 0)) continue;
    df += boards.length - 1;
    for (const board of boards) squares += (board.slugs - board.turns * mean) ** 2 / (board.turns * mean);
  }
  return df > 0 ? { phi: Math.max(1, squares / df), df } : undefined;
}
