import { Button, ButtonLink, Card, Notice, PageHeader } from '../../parts';
import { syncNow, syncState } from '../../sync';
import { t } from '../../text';
import type { Standing } from './index';

/** Paired: either all is there and the morning can begin, or the plot is still on its way. */
export function Waiting({ standing }: { standing: Standing }) {
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
        <Notice live>{syncState.value.words}</Notice>
        <Button kind="main" wide disabled={busy} onClick={() => void syncNow()}>
          {t('first_run.fetch_again')}
        </Button>
      </Card>
    </div>
  );
}
