import { Button, Notice } from '../../parts';
import { t } from '../../text';
import { type Put, saveTogether } from '../forms/undo';
import { kept } from '../forms/write';
import { type DiaryView, isClockSuspect, timesAreRight } from './model';

type Props = { view: DiaryView; counts: readonly DiaryView[]; canWrite: boolean; onClose: () => void };

/** What was sent by a phone with a wrong clock: that its time may be wrong, and what to do about it. */
export function ClockNotice({ view, counts, canWrite, onClose }: Props) {
  const suspect = [view, ...counts].filter(isClockSuspect);
  if (suspect.length === 0) return null;
  const agree = async () => {
    const items = timesAreRight(suspect) as Put[];
    if (await kept(() => saveTogether(items, t('diary.clock_did')))) onClose();
  };
  return (
    <Notice
      tone="glow"
      action={canWrite ? <Button onClick={() => void agree()}>{t('diary.clock_right')}</Button> : undefined}
    >
      {t(suspect.length > 1 ? 'diary.clock_why_all' : 'diary.clock_why', { n: suspect.length })}
    </Notice>
  );
}
