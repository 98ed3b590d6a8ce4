import { Button, ButtonLink, Card, EmptyState, Notice, navigate, PageHeader } from '../../parts';
import { useLive } from '../../storage';
import { syncState } from '../../sync';
import { dayWords, decimals, intervalWords, t, timeWords } from '../../text';
import { type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { kept } from '../forms/write';
import { startRound } from '../round/model';
import { type Due, readDue } from './model';
import './style.css';

/** Minutes a board takes on a wet morning; common practice, no source. */
const MINUTES_A_BOARD = 1;

export default function Now() {
  const facts = usePlotFacts();
  const due = useLive(
    async () => (facts?.plot ? await readDue(facts, new Date()) : undefined),
    ['round', 'slug_count', 'station', 'place', 'trap_catch', 'temperature'],
    [facts?.plot?.id, facts?.time_zone, facts?.observer],
  );
  if (!facts) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <Welcome />;
  return (
    <div class="page">
      <PageHeader
        title={t('now.title')}
        under={`${facts.plot.body.name ?? ''} · ${dayWords(new Date(), facts.time_zone)}`}
      />
      {facts.plot.body.invented && <Notice tone="glow">{t('now.invented')}</Notice>}
      <NeedsYou />
      {due && (
        <>
          <RoundCard due={due} facts={facts} />
          <TrapsCard traps={due.traps} />
          <ThermometerCard due={due} />
        </>
      )}
      <OnlyHere />
    </div>
  );
}

function Welcome() {
  return (
    <div class="page now-welcome">
      <EmptyState
        title={t('now.welcome_title')}
        action={
          <ButtonLink kind="main" to="/start">
            {t('now.welcome_go')}
          </ButtonLink>
        }
      >
        {t('now.welcome_text')}
      </EmptyState>
    </div>
  );
}

function NeedsYou() {
  const { needs_you } = syncState.value;
  if (needs_you === 0) return null;
  return (
    <Card title={t('now.needs_you', { n: needs_you })} icon="people" tone="bad">
      <p>{t('now.needs_you_text')}</p>
      <ButtonLink wide to="/sync">
        {t('now.needs_you_go')}
      </ButtonLink>
    </Card>
  );
}

function OnlyHere() {
  const { only_here } = syncState.value;
  return only_here > 0 ? <p class="soft small">{t('now.only_here', { n: only_here })}</p> : null;
}

function RoundCard({ due, facts }: { due: Due; facts: PlotFacts }) {
  const begin = async (): Promise<void> => {
    let id = '';
    if (await kept(async () => (id = await startRound(facts.observer, facts.time_zone))))
      navigate(`/round/${id}`);
  };
  if (due.n_boards === 0) {
    return (
      <Card title={t('now.round_due')} icon="plank">
        <p>{t('now.no_boards')}</p>
        <ButtonLink wide to="/plot">
          {t('round.to_plot')}
        </ButtonLink>
      </Card>
    );
  }
  if (due.open) return <OpenRound due={due.open} facts={facts} />;
  if (due.done) return <DoneRound done={due.done} facts={facts} onAgain={() => void begin()} />;
  return (
    <Card title={t('now.round_due')} icon="plank" tone="glow">
      <p>
        {t('now.round_due_text', { n: due.n_boards, minutes: Math.ceil(due.n_boards * MINUTES_A_BOARD) })}{' '}
        {due.last && (
          <span class="soft">
            {t('now.last_round', {
              day: dayWords(due.last.day, facts.time_zone),
              mean: decimals(due.last.mean.mean),
            })}
          </span>
        )}
      </p>
      <Button kind="main" icon="plank" wide onClick={() => void begin()}>
        {t('now.round_start')}
      </Button>
    </Card>
  );
}

function OpenRound({ due, facts }: { due: NonNullable<Due['open']>; facts: PlotFacts }) {
  return (
    <Card title={t('now.round_due')} icon="plank" tone="glow">
      <p>
        {t('now.round_open_text', {
          time: timeWords(due.view.body.started_at ?? due.view.body.observed_at ?? '', facts.time_zone),
          who: due.view.body.observer || t('round.someone'),
          n: due.n_done,
          m: due.n_boards,
        })}
      </p>
      <ButtonLink kind="main" icon="plank" wide to={`/round/${due.view.id}`}>
        {t('now.round_resume')}
      </ButtonLink>
    </Card>
  );
}

function DoneRound(props: { done: NonNullable<Due['done']>; facts: PlotFacts; onAgain: () => void }) {
  const { mean, total, view } = props.done;
  return (
    <Card title={t('now.round_done')} icon="tick" tone="good">
      <p class="figures">
        {mean && mean.high !== null
          ? t('now.round_done_text', {
              total,
              mean: decimals(mean.mean),
              interval: intervalWords(mean.low, mean.high),
            })
          : t('now.round_done_plain', {
              time: timeWords(view.body.finished_at ?? '', props.facts.time_zone),
            })}
      </p>
      <div class="row">
        <ButtonLink to={`/round/${view.id}`}>{t('now.round_look')}</ButtonLink>
        <Button kind="quiet" onClick={props.onAgain}>
          {t('now.round_again')}
        </Button>
      </div>
    </Card>
  );
}

function TrapsCard({ traps }: { traps: Due['traps'] }) {
  if (traps.in_ground === 0) return null;
  const isDue = traps.due > 0;
  return (
    <Card title={t('now.traps_due')} icon="trap" tone={isDue ? 'glow' : 'plain'}>
      <p>
        {isDue
          ? t('now.traps_due_text', { n: traps.due })
          : t('now.traps_in', { n: traps.in_ground, days: traps.next_in_days ?? 0 })}{' '}
        {traps.late > 0 && t('now.traps_late', { n: traps.late })}
      </p>
      <ButtonLink wide to="/traps" {...(isDue ? { kind: 'main' as const } : {})}>
        {isDue ? t('now.traps_go') : t('now.traps_see')}
      </ButtonLink>
    </Card>
  );
}

function ThermometerCard({ due }: { due: Due }) {
  const { all, unread } = due.thermometers;
  if (all === 0) return null;
  return (
    <Card title={t('now.readings_due')} icon="thermometer">
      <p>
        {unread > 0 ? t('now.readings_due_text', { n: unread, m: all }) : t('now.readings_done', { m: all })}
      </p>
      <div class="now-pair">
        <ButtonLink to="/readings">{t('now.readings_go')}</ButtonLink>
        <ButtonLink icon="moon" to="/evening">
          {t('now.evening_go')}
        </ButtonLink>
      </div>
    </Card>
  );
}
