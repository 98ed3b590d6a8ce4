import { ButtonLink } from '../../parts';
import type { Stay, Undone } from '../../sync/plot_files';
import { t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import { staysByReason, typeWords } from './model';

/** Of one reason so many are named; the rest are counted. */
const NAMED = 6;

/** What taking an import back did: how many records went, which stayed, why, and where to go on with them. */
export function TakenBack({ done, timeZone }: { done: Undone | 'away'; timeZone: string }) {
  if (done === 'away') return <p role="status">{t('files.away')}</p>;
  return (
    <div class="stack-tight" role="status">
      <p>{t('files.undone', { n: done.removed, kept: done.stays.length })}</p>
      {staysByReason(done.stays).map(({ why, stays }) => (
        <div key={why} class="stack-tight">
          <p>{t(`files.stays_${why}`, { n: stays.length })}</p>
          <ul class="small">
            {stays.slice(0, NAMED).map((stay) => (
              <li key={stay.id}>{stayWords(stay, timeZone)}</li>
            ))}
            {stays.length > NAMED && <li>{t('files.more', { n: stays.length - NAMED })}</li>}
          </ul>
          {why === 'conflict' && <ButtonLink to="/sync">{t('files.to_settle')}</ButtonLink>}
          {why === 'edited' && <ButtonLink to="/diary">{t('files.to_diary')}</ButtonLink>}
        </div>
      ))}
    </div>
  );
}

function stayWords({ type, label, observed_at }: Stay, timeZone: string): string {
  return [typeWords(type), label, observed_at && dayWords(localDay(observed_at, timeZone))]
    .filter(Boolean)
    .join(' · ');
}
