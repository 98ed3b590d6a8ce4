import { ButtonLink, EmptyState, PageHeader } from '../../parts';
import { t } from '../../text';

/** What a screen shows on a phone that knows no plot yet. */
export function NoPlot({ title }: { title: string }) {
  return (
    <div class="page">
      <PageHeader title={title} back="/" />
      <EmptyState
        title={t('forms.no_plot_title')}
        action={
          <ButtonLink kind="main" to="/start">
            {t('forms.no_plot_go')}
          </ButtonLink>
        }
      >
        {t('forms.no_plot_text')}
      </EmptyState>
    </div>
  );
}
