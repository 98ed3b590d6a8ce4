// What the end of a sync means to its person, and when to try again.

import { t } from '../text';
import type { Ended } from './engine';
import { NoAnswer, NotHome, Refused } from './server';
import { phaseWords, type SyncPhase } from './state';
import { backoff } from './wires';

export type Outcome = { phase: SyncPhase; words: string; again_ms: number | undefined };

/** Between two syncs when all is well. */
export const QUIET_MS = 5 * 60_000;

/** `failures`: how many syncs in a row have failed, this one included. */
export function outcomeOf(
  end: Ended | Error,
  failures: number,
  online: boolean,
  random: () => number,
): Outcome {
  if (end === 'done') return { phase: 'idle', words: phaseWords('idle'), again_ms: QUIET_MS };
  if (end === 'not_paired') return { phase: 'idle', words: t('told.not_paired'), again_ms: undefined };
  if (end === 'update_needed') return told('update_needed', QUIET_MS);
  const wait = backoff(failures, random);
  if (!online) return told('offline', wait);
  if (end instanceof NotHome || end instanceof NoAnswer) return told('not_home', wait);
  if (!(end instanceof Refused)) return told('trouble', wait);
  if (end.status === 401) return told('pair_again', QUIET_MS);
  if (end.status === 403)
    return { ...told('trouble', QUIET_MS), words: end.problem.detail ?? end.problem.title };
  if (end.is('schema')) return told('update_needed', QUIET_MS);
  if (end.status === 507) {
    return { phase: 'trouble', words: t('told.disk_full'), again_ms: end.retryAfterMs ?? wait };
  }
  return told('trouble', end.retryAfterMs ?? wait);
}

function told(phase: SyncPhase, again_ms: number): Outcome {
  return { phase, words: phaseWords(phase), again_ms };
}
