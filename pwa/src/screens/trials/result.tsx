import { Card } from '../../parts';
import { decimals, t } from '../../text';
import { type Answer, answerOf } from './answer';
import type { Story } from './load';
import { answerWords, verdictWords } from './words';

/** What the trial says: one sentence with its interval, the picture of it, and how far it may be believed. */
export function Result({ story }: { story: Story }) {
  const { trial, counted, standing } = story;
  const answer = answerOf(trial, counted);
  const over = standing.phase === 'over';
  const effect = answer?.effect;
  return (
    <Card title={t(over ? 'trials.result' : 'trials.result_so_far')}>
      <p class="trial-said" role="status">
        <strong>{answerWords(answer, trial)}</strong>
      </p>
      {answer && effect?.percent != null && effect.low !== null && effect.high !== null && (
        <EffectBar best={effect.percent} low={effect.low} high={effect.high} />
      )}
      <p>{verdictWords(answer, over)}</p>
      {answer && <HowSure answer={answer} />}
      {!over && answer && <p class="soft small">{t('trials.looks')}</p>}
    </Card>
  );
}

function HowSure({ answer }: { answer: Answer }) {
  const { effect, by, n_treated, n_control } = answer;
  const units = t(by === 'place' ? 'trials.n_beds' : 'trials.n_boards', { n: n_treated });
  return (
    <>
      <p class="soft small">
        {t('trials.rests_on', { treated: units, control: n_control })}{' '}
        {effect.percent !== null && t('trials.best', { n: decimals(effect.percent, 0) })}{' '}
        {effect.dispersion !== null &&
          effect.dispersion > 1 &&
          t('trials.scatter', { times: decimals(effect.dispersion, 1) })}
      </p>
      {effect.df === 0 && <p>{t('trials.one_comparison')}</p>}
    </>
  );
}

const [WIDTH, LEFT, RIGHT] = [320, 12, 308];
/** Percent fewer from 100 more to 100 fewer; beyond the left end an arrow says so. */
const END = -100;

/** The interval from "twice as many" over "no difference" to "none left"; the same stands in the sentence above. */
function EffectBar({ best, low, high }: { best: number; low: number; high: number }) {
  const at = (percent: number) => LEFT + ((Math.max(END, percent) - END) / (100 - END)) * (RIGHT - LEFT);
  return (
    <svg class="effect-bar" viewBox={`0 0 ${WIDTH} 62`} aria-hidden="true" focusable="false">
      <rect class="effect-fewer" x={at(0)} y="10" width={RIGHT - at(0)} height="24" rx="3" />
      <path class="range-ground" d={`M${LEFT} 22H${RIGHT}`} />
      <path class="effect-none" d={`M${at(0)} 4v36`} />
      <path class="range-span" d={`M${at(low)} 22H${at(high)}`} />
      {low < END && <path class="range-span" d={`M${LEFT + 6} 17l-6 5l6 5`} />}
      <circle class="range-value" cx={at(best)} cy="22" r="7" />
      <text class="effect-label" x={LEFT} y="56">
        {t('trials.bar_more')}
      </text>
      <text class="effect-label" x={at(0)} y="56" text-anchor="middle">
        {t('trials.bar_none')}
      </text>
      <text class="effect-label" x={RIGHT} y="56" text-anchor="end">
        {t('trials.bar_fewer')}
      </text>
    </svg>
  );
}
