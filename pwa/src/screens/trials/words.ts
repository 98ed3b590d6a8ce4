/** A trial in words: where it stands, and what its answer says. */
import { t } from '../../text';
import { dayWords } from '../forms/local_time';
import type { Answer } from './answer';
import type { Story } from './load';
import type { Side, Trial } from './model';

export function kindWords(kind: string | undefined): string {
  return t(`trials.with_${kind ?? 'other'}` as 'trials.with_other');
}

export function phaseWords({ trial, standing }: Story, today: string): string {
  const { phase, day = 0, treat_on } = standing;
  const said = (date: string | undefined) => (date ? dayWords(date, today) : '');
  switch (phase) {
    case 'planned':
      return t('trials.phase_planned', { day: said(trial.before_from) });
    case 'before':
      return t('trials.phase_before', { n: -day, day: said(treat_on) });
    case 'treat':
      return day > 0 ? t('trials.phase_treat_late', { n: day }) : t('trials.phase_treat');
    case 'wait':
      return t('trials.phase_wait', { n: day, day: said(trial.after_from) });
    case 'after':
      return t('trials.phase_after', { n: day, day: said(trial.after_to) });
    case 'over':
      return t('trials.phase_over', { day: said(trial.after_to) });
    default:
      return t('trials.phase_unset');
  }
}

const whole = (percent: number): number => Math.round(Math.abs(percent));
/** Beyond this a figure says no more than "many times as many". */
const MANY_TIMES = 900;

/** "20 to 70 % fewer slugs", "between 10 % fewer and 40 % more slugs": the interval, never a single figure. */
export function spanWords(low: number, high: number): string {
  if (low > 0) return t('trials.span_fewer', { low: whole(low), high: whole(high) });
  const more = -low > MANY_TIMES ? t('trials.many_times') : t('trials.percent_more', { n: whole(low) });
  if (high < 0) return t('trials.span_more', { low: whole(high), high: more });
  return t('trials.span_both', { high: whole(high), more });
}

export function answerWords(answer: Answer | undefined, trial: Trial): string {
  const effect = answer?.effect;
  if (!effect || effect.percent === null) return t('trials.no_answer');
  if (effect.low === null || effect.high === null) return t('trials.no_interval');
  return t(answer.by === 'place' ? 'trials.said_places' : 'trials.said_boards', {
    what: kindWords(trial.kind),
    span: spanWords(effect.low, effect.high),
  });
}

export function verdictWords(answer: Answer | undefined, over: boolean): string {
  if (!answer || answer.verdict === 'not_yet')
    return t(over ? 'trials.verdict_never' : 'trials.verdict_not_yet');
  return over || answer.verdict === 'no_evidence'
    ? t(`trials.verdict_${answer.verdict}`)
    : t(`trials.so_far_${answer.verdict}`);
}

export const sideWords = (side: Side): string => t(`trials.side_${side}`);
