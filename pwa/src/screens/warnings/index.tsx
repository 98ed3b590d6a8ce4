import { useEffect, useState } from 'preact/hooks';
import type { ScreenProps } from '../../app/routes';
import { ButtonLink, Card, EmptyState, Icon, Link, PageHeader } from '../../parts';
import { useLive } from '../../storage';
import { t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { type ListRow, loadList } from './model';
import { OneWarning } from './page';
import { iconOf, outcomeOf, placesOf, rankWords, windowWords } from './words';
import { Written } from './written';
import '../forms/style.css';
import './style.css';

const FIRST = 20;

export default function Warnings({ params }: ScreenProps) {
  const facts = usePlotFacts();
  if (!facts) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('warnings.title')} />;
  return params.id ? <OneWarning id={params.id} facts={facts} /> : <All facts={facts} />;
}

function All({ facts }: { facts: PlotFacts }) {
  const now = useNow();
  const [most, setMost] = useState(FIRST);
  const data = useLive(
    () => loadList(facts, now),
    ['warning', 'warning_reply', 'place'],
    [now, facts.observer],
  );
  if (!data) return <div class="page" aria-busy="true" />;
  const rest = data.earlier.length - most;
  return (
    <div class="page">
      <PageHeader title={t('warnings.title')} back="/" under={t('warnings.under')} />
      {data.standing.length === 0 ? (
        <EmptyState title={t('warnings.none')}>{t('warnings.none_text')}</EmptyState>
      ) : (
        <Card title={t('warnings.standing')} icon="caution">
          <Rows rows={data.standing} facts={facts} labels={data.labels} now={now} />
        </Card>
      )}
      {data.earlier.length > 0 && (
        <Card title={t('warnings.earlier')} icon="diary">
          <Rows rows={data.earlier.slice(0, most)} facts={facts} labels={data.labels} now={now} over />
          {rest > 0 && (
            <button type="button" class="button button-quiet" onClick={() => setMost(most + 50)}>
              {t('warnings.earlier_more', { n: Math.min(50, rest) })}
            </button>
          )}
        </Card>
      )}
      <ButtonLink wide to="/watch">
        {t('warnings.all_settings')}
      </ButtonLink>
    </div>
  );
}

/** The time, a new one each minute. */
export function useNow(): number {
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    const tick = setInterval(() => setNow(Date.now()), 60_000);
    return () => clearInterval(tick);
  }, []);
  return now;
}

type RowsProps = {
  rows: readonly ListRow[];
  facts: PlotFacts;
  labels: ReadonlyMap<string, string>;
  now: number;
  over?: boolean;
};

function Rows({ rows, facts, labels, now, over }: RowsProps) {
  return (
    <ul class="warning-rows">
      {rows.map(({ view, answer }) => (
        <li key={view.id}>
          <Link to={`/warning/${view.id}`} class="warning-row">
            <Icon name={iconOf(view.body.rule)} />
            <span class="grow">
              <span class={answer.seen || over ? '' : 'warning-unread'}>
                <Written words={view.body.headline} />
              </span>
              <span class="soft small warning-line">
                {[
                  over ? outcomeWords(view.body.rule, answer.outcome?.what) : rankWords(view.body),
                  over ? endWords(view.body, facts) : windowWords(view.body, new Date(now), facts.time_zone),
                  placesOf(view.body, labels),
                ]
                  .filter(Boolean)
                  .join('\u00a0· ')}
              </span>
            </span>
            <Icon name="next" />
          </Link>
        </li>
      ))}
    </ul>
  );
}

type What = 'happened' | 'did_not_happen' | 'not_known';

function outcomeWords(rule: string | undefined, what: What | undefined): string {
  if (!what && !outcomeOf(rule)) return '';
  return t(`warnings.out_${what ?? 'open'}`);
}

function endWords(body: ListRow['view']['body'], facts: PlotFacts): string {
  const at = body.window_start ?? body.raised_at;
  if (!at) return '';
  return dayWords(localDay(at, facts.time_zone), localDay(new Date(), facts.time_zone));
}
