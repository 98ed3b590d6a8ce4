import { Button, ButtonLink, Card, Notice, PageHeader } from '../../parts';
import { syncNow, syncState } from '../../sync';
import { inOurWords, t } from '../../text';
import type { Standing } from './index';

/** Paired: either all is there and the morning can begin, or the plot is still on its way. */
export function Waiting({ standing, onNew }: { standing: Standing; onNew?: () => void }) {
  const { plot, paired } = standing;
  if (plot) {
    const name = plot.body.name ?? paired?.plot_name ?? '';
    return (
      <div class="page page-bare">
        <PageHeader title={t('first_run.joined', { plot: name })} />
        <ButtonLink kind="main" wide to="/">
          {t('first_run.to_now')}
        </ButtonLink>
      </div>
    );
  }
  const busy = syncState.value.phase === 'syncing';
  return (
    <div class="page page-bare">
      <PageHeader title={t('first_run.waiting_title')} />
      <Card>
        <p>{t('first_run.waiting_text')}</p>
        <Notice live>{inOurWords(syncState.value.words)}</Notice>
        <Button kind="main" wide disabled={busy} onClick={() => void syncNow()}>
          {t('first_run.fetch_again')}
        </Button>
        {onNew && !busy && !paired?.plot_name && (
          <Button kind="quiet" onClick={onNew}>
            {t('first_run.set_up_here')}
          </Button>
        )}
      </Card>
    </div>
  );
}
