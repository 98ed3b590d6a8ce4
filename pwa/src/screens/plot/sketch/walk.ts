/** The walk, told by tapping the boards in the order in which one comes past them. Pure. */
import { inWalkingOrder, type Station } from '../model';
import type { Change } from './undo';

/** One more board tapped; tapping the last one again takes it back, an earlier one changes nothing. */
export function tapped(walked: readonly string[], id: string): string[] {
  if (walked.at(-1) === id) return walked.slice(0, -1);
  return walked.includes(id) ? [...walked] : [...walked, id];
}

/** The tapped boards first, in that order; the others follow as they did before. */
export function walkedOrder<S extends Station>(boards: readonly S[], walked: readonly string[]): S[] {
  const byId = new Map(boards.map((board) => [board.id, board]));
  const first = walked.flatMap((id) => byId.get(id) ?? []);
  return [...first, ...inWalkingOrder(boards.filter((board) => !walked.includes(board.id)))];
}

/** The number of each board, null for none. */
export type Order = Readonly<Record<string, number | null>>;

export function orderOf(boards: readonly Station[]): Order {
  return Object.fromEntries(boards.map(({ id, walk_order }) => [id, walk_order ?? null]));
}

/** Only the numbers that change, dealt out from 1. */
export function walkChanges(
  boards: readonly Station[],
  walked: readonly string[],
): { id: string; walk_order: number }[] {
  return walkedOrder(boards, walked).flatMap((board, i) =>
    board.walk_order === i + 1 ? [] : [{ id: board.id, walk_order: i + 1 }],
  );
}

/** The same as changes of what stood when the first board was tapped. */
export function walkSteps(boards: readonly Station[], walked: readonly string[], stood: Order): Change[] {
  const order = { ...orderOf(boards), ...stood };
  return walkChanges(boards, walked).map(({ id, walk_order }) => ({
    type: 'station',
    id,
    before: { walk_order: order[id] ?? null },
    after: { walk_order },
  }));
}
