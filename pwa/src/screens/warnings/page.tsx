import { isOver } from '../../domain/warnings';
import { ButtonLink, Card, Caution, EmptyState, Icon, Notice, PageHeader } from '../../parts';
import { useLive } from '../../storage';
import { t } from '../../text';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { Deeds, Outcome } from './answers';
import { loadPage, type WarningPage } from './model';
import { Picture } from './picture';
import { ruleTitle } from './rule_words';
import { scoreWords } from './score';
import { figureOf, iconOf, placesOf, rankWords, whenWords, windowWords } from './words';
import { Written } from './written';

/** One warning: what, where, when, the picture, why, what to do, what people said, how good the rule has been. */
export function OneWarning({ id, facts }: { id: string; facts: PlotFacts }) {
  const data = useLive(
    () => loadPage(id, facts),
    ['warning', 'warning_reply', 'place', 'crop', 'station', 'temperature', 'evening', 'learned', 'round'],
    [id, facts.observer, facts.time_zone],
  );
  if (!data) return <div class="page" aria-busy="true" />;
  if (!data.view || data.view.deleted) return <Gone />;
  const { body } = data.view;
  const over = isOver(body, Date.now());
  const figure = figureOf(body);
  const title = body.rule ? ruleTitle(body.rule) : t('warnings.one');
  return (
    <div class="page">
      <PageHeader title={title} back="/warnings" />
      <section class={`warning-head alarm-${over ? 'over' : (body.severity ?? 'Unknown')}`}>
        <p class="warning-rank">
          <Icon name={iconOf(body.rule)} />
          <span class="grow">{rankWords(body)}</span>
          {figure && (
            <span class="warning-figure figures">
              <strong>{figure.value}</strong> <span class="small">{figure.words}</span>
            </span>
          )}
        </p>
        <h2 class="warning-words">
          <Written words={body.headline} />
        </h2>
        <p class="figures">
          {[windowWords(body, new Date(), facts.time_zone), placesOf(body, data.places, 8)]
            .filter(Boolean)
            .join('\u00a0· ')}
        </p>
        {over && (
          <p class="soft">
            {t('warnings.over', { when: whenWords(body.window_end ?? body.ended_at, facts) })}
          </p>
        )}
      </section>
      <Deeds view={data.view} answer={data.answer} facts={facts} over={over} />
      <Outcome view={data.view} data={data} facts={facts} over={over} />
      {!mayRecord(facts) && <p class="soft small">{t('warnings.reader_only')}</p>}
      <Picture data={data} view={data.view} facts={facts} />
      <Words data={data} />
      <Card title={t('warnings.score')} icon="findings">
        <p>{scoreWords(data.score) ?? t('warnings.score_none')}</p>
        <p class="soft small figures">
          {body.raised_at && t('warnings.raised', { when: whenWords(body.raised_at, facts) })}{' '}
          {body.updated_at &&
            body.updated_at !== body.raised_at &&
            t('warnings.changed', { when: whenWords(body.updated_at, facts) })}
        </p>
        <ButtonLink wide to={`/watch/${body.rule ?? ''}`}>
          {t('warnings.settings')}
        </ButtonLink>
      </Card>
    </div>
  );
}

function Words({ data }: { data: WarningPage }) {
  const { advice, why, caution } = data.view?.body ?? {};
  return (
    <>
      {advice && (
        <Card title={t('warnings.advice')} icon="hand">
          <p>
            <Written words={advice} />
          </p>
          {caution && (
            <Caution>
              <Written words={caution} />
            </Caution>
          )}
        </Card>
      )}
      {why && (
        <Card title={t('warnings.why')}>
          <p>
            <Written words={why} />
          </p>
        </Card>
      )}
      {!advice && caution && (
        <Notice>
          <Caution>
            <Written words={caution} />
          </Caution>
        </Notice>
      )}
    </>
  );
}

function Gone() {
  return (
    <div class="page">
      <PageHeader title={t('warnings.one')} back="/warnings" />
      <EmptyState
        title={t('warnings.gone')}
        action={<ButtonLink to="/warnings">{t('warnings.back_to_list')}</ButtonLink>}
      >
        {t('warnings.gone_text')}
      </EmptyState>
    </div>
  );
}
