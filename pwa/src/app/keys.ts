/** Which key does what: pure, so that the sheet, the listener and the tests agree. */

/** Two keys, one after the other: `g` and then the first letter of where to go. */
export const GO: Readonly<Record<string, string>> = {
  n: '/',
  p: '/plot',
  d: '/diary',
  f: '/findings',
  s: '/sync',
  a: '/desk',
};
export const GO_KEY = 'g';
/** How long a figure waits for the next one of the same number, and `g` for its letter. */
export const PATIENCE_MS = 1500;

export interface Figures {
  board: string;
  count: number;
  at: number;
}

/** The number after one more figure: figures in a row on one board are one number, up to 9999. */
export function withFigure(before: Figures | undefined, board: string, figure: number, at: number): Figures {
  const goesOn = before !== undefined && before.board === board && at - before.at < PATIENCE_MS;
  const count = goesOn ? before.count * 10 + figure : figure;
  return { board, count: count > 9999 ? figure : count, at };
}

/** Whether a key belongs to the field that has the focus and not to the screen. */
export function isTyped(
  target: { tagName?: string; type?: string; isContentEditable?: boolean },
  key: string,
): boolean {
  if (target.isContentEditable || target.tagName === 'TEXTAREA' || target.tagName === 'SELECT') return true;
  if (target.tagName !== 'INPUT') return false;
  const ticked = target.type === 'radio' || target.type === 'checkbox';
  return !ticked || key.startsWith('Arrow') || key === ' ';
}

/** Where the arrows lead on a ladder of `n` rungs; it does not go round. */
export function rung(at: number, key: string, n: number): number | undefined {
  const to = { ArrowUp: at - 1, ArrowDown: at + 1, Home: 0, End: n - 1 }[key];
  return to === undefined || to < 0 || to >= n || to === at ? undefined : to;
}
