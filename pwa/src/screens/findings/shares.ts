import { decimals, intervalWords } from '../../text';

/** "62 %" of a share from 0 to 1. */
export function percent(share: number): string {
  return `${decimals(100 * share, 0)}\u00a0%`;
}

/** "12 to 54 %". */
export function span(low: number, high: number): string {
  return `${intervalWords(100 * low, 100 * high, 0)}\u00a0%`;
}
