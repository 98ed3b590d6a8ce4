import { ButtonLink, Notice } from '../../parts';
import { t } from '../../text';
import type { DiaryView } from './model';

/** A count that was one of two on a board, and what was said about it; it can be said otherwise under Sync. */
export function CountedTwice({ view, canWrite }: { view: DiaryView; canWrite: boolean }) {
  const { stands, set_aside } = view.body;
  if (view.type !== 'slug_count' || (stands !== true && set_aside !== true)) return null;
  return (
    <Notice
      action={canWrite && <ButtonLink to="/sync#settled">{t('diary.counted_twice_change')}</ButtonLink>}
    >
      {t(stands === true ? 'diary.counted_twice_stands' : 'diary.counted_twice_aside')}
    </Notice>
  );
}
