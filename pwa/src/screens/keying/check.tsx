import { useState } from 'preact/hooks';
import { Button, Card, Notice } from '../../parts';
import { t } from '../../text';
import { dayWords, localClock } from '../forms/local_time';
import { PickOne } from '../forms/pick_one';
import type { PlotFacts } from '../forms/plot_facts';
import type { SheetKind } from '../paper/model';
import type { Keyed, Tally } from './model';
import type { Earlier } from './records';

export interface Found {
  earlier: Earlier[];
  already: string[];
}

type Props = {
  found: Found;
  kind: SheetKind;
  tally: Tally;
  keyed: Keyed;
  facts: PlotFacts;
  onSave: (join?: string) => Promise<void>;
};

const OWN = 'own';

/** What should be known before the sheet is saved. Nothing is chosen beforehand, and nothing is overwritten. */
export function Check({ found, kind, tally, keyed, facts, onSave }: Props) {
  const [choice, setChoice] = useState('');
  const [tried, setTried] = useState(false);
  const { earlier, already } = found;
  const save = () => {
    if (earlier.length > 0 && choice === '') return setTried(true);
    void onSave(choice === '' || choice === OWN ? undefined : choice);
  };
  const clock = (one: Earlier) => localClock(one.observed_at, facts.time_zone);
  const who = (one: Earlier) => one.observers.join(', ') || t('keying.nobody');
  return (
    <Card title={t('keying.check')} icon="people" tone="glow">
      {kind !== 'readings' && (tally.difference ?? 0) !== 0 && (
        <Notice tone="bad">
          {t((tally.difference ?? 0) > 0 ? 'keying.more' : 'keying.fewer', {
            n: Math.abs(tally.difference ?? 0),
          })}
        </Notice>
      )}
      {earlier.map((one) => (
        <p key={one.round_id}>{earlierWords(one, dayWords(keyed.day), clock(one), who(one))}</p>
      ))}
      {earlier.length > 0 && (
        <>
          <PickOne
            label={t('keying.which')}
            choices={[
              ...earlier.map((one) => ({
                value: one.round_id,
                label: t('keying.join', { time: clock(one), who: who(one) }),
              })),
              { value: OWN, label: t('keying.own') },
            ]}
            chosen={choice}
            error={tried && choice === '' ? t('keying.choose') : undefined}
            onChoose={setChoice}
          />
          <p class="soft small">{t('keying.join_hint')}</p>
        </>
      )}
      {already.length > 0 && <p>{t('keying.already', { names: already.join(', ') })}</p>}
      <Button kind="main" wide onClick={save}>
        {t('keying.save_anyway')}
      </Button>
    </Card>
  );
}

function earlierWords(one: Earlier, day: string, time: string, who: string): string {
  if (one.n_shared > 0 && one.n_same === one.n_shared) return t('keying.twice', { day, time, who });
  if (one.n_shared === 0) return t('keying.earlier_none', { time, who });
  return t('keying.earlier', { time, who, n: one.n_shared });
}
