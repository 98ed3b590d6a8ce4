/** The sentences that go with a summary of counts: why figures are empty, where intervals deserve less trust. */
import type { Spread } from './spread';

type Clusters = { groups: number } | null | undefined;

/** By simulation: up to here the plain profile interval falls short when boards are clumped, */
const FEW_BOARDS = 20;
/** and below this total every interval is wider than its level says. */
const FEW_SLUGS = 12;

export function summaryWhyNot(
  about: Spread,
  a: number,
  aLow: number | null,
  meanHigh: number | null,
  clusters: Clusters,
): string[] {
  const said: string[] = [];
  const { n, total } = about;
  if (n === 1) said.push('One board tells nothing of the spread between boards.');
  if (total === 0) said.push('All counts are zero, so the spread between boards cannot be seen.');
  else if (total === 1) said.push("A single find cannot share a board, so Morisita's index is undefined.");
  if (n > 1 && total > 0) {
    if (a === 0) said.push('The counts scatter no more than chance alone would, so k has no upper end.');
    else if (aLow === 0) said.push('The counts do not rule chance scatter out, so k has no upper limit.');
    if (about.k_moment === null && a > 0) {
      said.push('The variance is not above the mean, so k by moments has no value.');
    }
  }
  if (meanHigh === null) said.push('So few boards had any that the mean has no upper limit.');
  if (clusters === null) said.push('Limits by cluster need at least two clusters and something counted.');
  return said;
}

export function summaryCautions({ n, total, k_moment }: Spread, clusters: Clusters): string[] {
  const said: string[] = [];
  if (n === 1 || total === 0) {
    said.push(
      'The limits are Poisson limits: if slugs clump, as they mostly do, the true mean may lie higher.',
    );
  } else if (total < FEW_SLUGS && k_moment !== null && n <= FEW_BOARDS) {
    // Few counted widens, few clumped boards narrow: by simulation the first mostly wins, and not always.
    said.push(
      `Only ${total} counted on ${n} boards: with so little the limits are mostly wider than their level says, yet the true mean may lie above them where these boards missed the clumps.`,
    );
  } else if (total < FEW_SLUGS) {
    said.push(
      `Only ${total} counted in all: the intervals are wider than their level says, so that the true mean lies inside more often than promised.`,
    );
  } else if (k_moment !== null && n < 6) {
    said.push(
      `With ${n} boards no interval of clumped counts can be trusted: the true mean lies outside clearly more often than the level says.`,
    );
  } else if (k_moment !== null && n <= FEW_BOARDS) {
    said.push(
      `With ${n} clumped boards the plain interval (mean_low, mean_high) holds the true mean in about 91 to 94 of 100 cases instead of 95; the calibrated one comes closer.`,
    );
  }
  if (clusters !== undefined) {
    said.push(
      'Boards of one cluster go up and down together, so the plain intervals are too narrow; use mean_low_cluster and mean_high_cluster.',
    );
    if (clusters && clusters.groups < 10) {
      said.push(`With ${clusters.groups} clusters even the cluster limits are somewhat short.`);
    }
  }
  return said;
}
