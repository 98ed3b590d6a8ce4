/** How a rule has done, in words. Pure. */
import { t } from '../../text';

/** From what the server keeps of a rule: its own words, else the counts. Undefined where nothing was judged. */
export function scoreWords(score: Record<string, unknown> | undefined): string | undefined {
  if (!score) return undefined;
  if (typeof score.words === 'string' && score.words !== '') return score.words;
  const hits = number(score.hits);
  const alarms = number(score.false_alarms);
  const misses = number(score.misses);
  if (hits + alarms + misses === 0) return undefined;
  return t('warnings.score_words', { hits, warned: hits + alarms, misses });
}

function number(value: unknown): number {
  return typeof value === 'number' ? value : 0;
}
