import { useRef } from 'preact/hooks';
import { Notice } from '../../parts';
import { syncState } from '../../sync';
import { t } from '../../text';
import type { Shot } from './model';

type SendingProps = { shots: readonly Shot[]; states: ReadonlyMap<string, string> | undefined };

/** How far the photos are on their way: they follow the records, one by one. */
export function Sending({ shots, states }: SendingProps) {
  const { photos_waiting: left, phase } = syncState.value;
  const most = useRef(0);
  most.current = left === 0 ? 0 : Math.max(most.current, left);
  const done = most.current - left;
  return (
    <div aria-live="polite" class="photo-sending">
      {left > 0 && (phase === 'syncing' || done > 0) && (
        <>
          <p>{t('photos.sending', { done, of: most.current })}</p>
          <progress
            max={most.current}
            value={done}
            aria-label={t('photos.sending', { done, of: most.current })}
          />
        </>
      )}
      {left > 0 && phase !== 'syncing' && done === 0 && (
        <p class="soft">{t('photos.wait_home', { n: left })}</p>
      )}
      <Refused shots={shots} states={states} />
    </div>
  );
}

/** That the server did not take some of these photos. */
export function Refused({ shots, states }: SendingProps) {
  const broken = shots.filter(({ sha256 }) => states?.get(sha256) === 'broken');
  const n = new Set(broken.map(({ sha256 }) => sha256)).size;
  return n === 0 ? null : <Notice tone="bad">{t('photos.broken_n', { n })}</Notice>;
}
