/** The walk, told by tapping the boards in the order in which one comes past them. Pure. */
import { inWalkingOrder, type Station } from '../model';

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

/** Only the numbers that change, dealt out from 1. */
export function walkChanges(
  boards: readonly Station[],
  walked: readonly string[],
): { id: string; walk_order: number }[] {
  return walkedOrder(boards, walked).flatMap((board, i) =>
    board.walk_order === i + 1 ? [] : [{ id: board.id, walk_order: i + 1 }],
  );
}
