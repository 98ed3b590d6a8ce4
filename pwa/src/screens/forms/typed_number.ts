/** Numbers as people type them into a field, kept as text until they are numbers: pure. */

/**
 * The number that a text means, or `undefined` while it is empty or unfinished.
 * A decimal comma counts as a point, and the long minus of a keyboard as a minus.
 */
export function numberOf(text: string): number | undefined {
  const plain = text.trim().replace(',', '.').replace('\u2212', '-');
  if (!/^-?(\d+\.?\d*|\.\d+)$/.test(plain)) return undefined;
  return Number(plain);
}
