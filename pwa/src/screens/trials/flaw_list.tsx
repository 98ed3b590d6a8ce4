import { Icon } from '../../parts';
import { decimals, t } from '../../text';
import { dayWords } from '../forms/local_time';
import type { Flaw } from './flaws';

/** What speaks against the trial, each with what would mend it. */
export function FlawList({ flaws, today }: { flaws: readonly Flaw[]; today: string }) {
  if (flaws.length === 0) return <p>{t('trials.no_flaws')}</p>;
  return (
    <ul class="trial-flaws">
      {flaws.map(({ kind, fill }) => (
        <li key={kind}>
          <Icon name="caution" />
          <span>{t(`trials.flaw_${kind}`, shown(fill, today))}</span>
        </li>
      ))}
    </ul>
  );
}

function shown(fill: Flaw['fill'], today: string): Flaw['fill'] {
  return {
    ...fill,
    ...(typeof fill.m === 'number' ? { m: decimals(fill.m) } : {}),
    ...(typeof fill.day === 'string' && fill.day !== '' ? { day: dayWords(fill.day, today) } : {}),
  };
}
