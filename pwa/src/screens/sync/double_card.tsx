import { useState } from 'preact/hooks';
import { Button, Card, TextField } from '../../parts';
import { saveMany } from '../../storage';
import { type TextKey, t } from '../../text';
import type { Names } from '../diary/words';
import { dayWords, localClock, localDay } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import { asItem, kept } from '../forms/write';
import { type CountChange, type CountRow, type DoubleCount, keepBoth, keepOne, typeRight } from './model';

type Props = {
  double: DoubleCount;
  round: { kind?: string; observed_at?: string } | undefined;
  names: Names;
  /** What was said before, when it is to be said otherwise. */
  standing?: readonly string[];
  onDone?: () => void;
};

/** Two counts of one board in one round, side by side: who, when, with which phone. */
export function DoubleCard({ double, round, names, standing = [], onDone }: Props) {
  const [typing, setTyping] = useState<string | undefined>(undefined);
  const [wrong, setWrong] = useState(false);
  const settle = async (changes: readonly CountChange[]): Promise<void> => {
    const items = changes.map((change) => asItem('slug_count', change.id, { ...change.set }));
    if (await kept(() => saveMany(items))) onDone?.();
  };
  const use = () => {
    const right = numberOf(typing ?? '');
    if (right === undefined || !Number.isInteger(right) || right < 0 || right > 9999) return setWrong(true);
    void settle(typeRight(double, right));
  };
  const at = round?.observed_at ?? double.counts[0]?.observed_at;
  const where = {
    round: t(`diary.round_${round?.kind ?? 'dawn'}` as TextKey),
    day: at ? dayWords(localDay(at, names.time_zone), localDay(new Date(), names.time_zone)) : '',
  };
  const board = names.station.get(double.station_id) ?? '';
  return (
    <Card tone="glow" icon="people" title={t('sync.double', { board, n: double.counts.length })}>
      <p class="soft small">{t('sync.double_round', where)}</p>
      <div class="sides">
        {double.counts.map((count) => (
          <div key={count.id} class={`side ${standing.includes(count.id) ? 'side-chosen' : ''}`}>
            <p class="side-value figures">{countWords(count)}</p>
            <p class="soft small">{whoWords(count, names)}</p>
            {standing.includes(count.id) && <p class="small">{t('sync.stands_now')}</p>}
            <Button onClick={() => void settle(keepOne(double, count.id))}>{t('sync.keep_this')}</Button>
          </div>
        ))}
      </div>
      {typing === undefined ? (
        <div class="sides">
          <Button kind="quiet" onClick={() => void settle(keepBoth(double))}>
            {t('sync.keep_both')}
          </Button>
          <Button kind="quiet" onClick={() => setTyping('')}>
            {t('sync.type_right')}
          </Button>
        </div>
      ) : (
        <div class="type-right">
          <TextField
            label={t('sync.right_number')}
            inputMode="numeric"
            error={wrong ? t('sync.number_fault') : undefined}
            value={typing}
            onText={(text) => {
              setTyping(text);
              setWrong(false);
            }}
          />
          <Button kind="main" onClick={use}>
            {t('sync.use_it')}
          </Button>
        </div>
      )}
      <p class="soft small">{t('sync.keep_both_hint')}</p>
    </Card>
  );
}

function countWords(count: CountRow): string {
  return count.state === 'counted'
    ? String(count.count ?? '')
    : t(`diary.state_${count.state ?? 'counted'}` as TextKey);
}

function whoWords(count: CountRow, names: Names): string {
  const clock = count.observed_at ? localClock(count.observed_at, names.time_zone) : '';
  const device = count.device ? t('sync.from_device', { device: count.device }) : '';
  return [count.observer, clock, device].filter(Boolean).join(' · ');
}
