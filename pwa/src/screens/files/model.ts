// What the server says of a file, in our words.

import type { Preview, Stay } from '../../sync/plot_files';
import { type TextKey, t } from '../../text';

const OF_STATIONS = new Set(['slug_count', 'trap_catch', 'temperature']);

/** "12 × slug count, 3 × round"; empty when there is nothing. */
export function countedWords(counts: Record<string, number>): string {
  return Object.entries(counts)
    .sort(([a], [b]) => a.localeCompare(b))
    .map(([type, n]) => `${n} × ${typeWords(type)}`)
    .join(', ');
}

export function typeWords(type: string): string {
  const key = `diary.type_${type}` as TextKey;
  return t(key) === key ? type.replaceAll('_', ' ') : t(key);
}

/** What a column is, said by us where we have a word for it, else by the field's own name. */
export function targetWords(target: string): string {
  const key = `files.is_${target}` as TextKey;
  return t(key) === key ? target.replaceAll('_', ' ') : t(key);
}

/** Whether nothing in the file says which station its rows are of. */
export function needsStation(look: Preview): boolean {
  if (look.own || !OF_STATIONS.has(look.type)) return false;
  return !look.columns.some(({ is }) => is === 'station' || is.startsWith('station:'));
}

const REASONS = ['conflict', 'edited', 'named'] as const;

/** What stayed, by reason, those first that wait for a person. */
export function staysByReason(stays: readonly Stay[]): { why: Stay['why']; stays: Stay[] }[] {
  return REASONS.map((why) => ({ why, stays: stays.filter((one) => one.why === why) })).filter(
    (group) => group.stays.length > 0,
  );
}
