import { EmptyState } from '../parts';
import { t } from '../text';

/** Shown in place of the app over plain http: no store, no worker, so no form that would lose what is typed. */
export function InsecureAddress() {
  return (
    <main class="page">
      <EmptyState whole title={t('shell.insecure_title')}>
        {t('shell.insecure_text')}
      </EmptyState>
      <p>{t('shell.insecure_fix')}</p>
    </main>
  );
}
