// What hardly anybody ever sees of the frame: its code and words come when they are needed.

import { Button, ButtonLink, EmptyState, Notice } from '../parts';
import { storageWasCleared } from '../sync';
import { t } from '../text';

/** An address that leads nowhere. */
export function Missing() {
  return (
    <div class="page">
      <EmptyState
        whole
        title={t('rare.missing_title')}
        action={
          <ButtonLink kind="main" to="/">
            {t('round.to_now')}
          </ButtonLink>
        }
      >
        {t('rare.missing_text')}
      </EmptyState>
    </div>
  );
}

/** The system emptied the phone's storage: what that means, until it was read. */
export function Emptied() {
  const read = (): void => {
    storageWasCleared.value = false;
  };
  return (
    <Notice
      tone="bad"
      live
      action={
        <Button kind="quiet" onClick={read}>
          {t('rare.cleared_read')}
        </Button>
      }
    >
      {t('rare.cleared')}
    </Notice>
  );
}

/** Shown in place of the app over plain http: no store, no worker, so no form that would lose what is typed. */
export function InsecureAddress() {
  return (
    <main class="page">
      <EmptyState whole title={t('rare.insecure_title')}>
        {t('rare.insecure_text')}
      </EmptyState>
      <p>{t('rare.insecure_fix')}</p>
    </main>
  );
}
