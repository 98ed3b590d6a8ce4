import type { PartOfDay } from '../../domain/daylight';
import { Button, ButtonLink, Card, navigate, RangeBar } from '../../parts';
import { dayWords, decimals, intervalWords, t, timeWords } from '../../text';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { kept } from '../forms/write';
import { startRound } from '../round/model';
import type { Due } from './model';

/** Minutes a board takes on a wet morning; common practice, no source. */
const MINUTES_A_BOARD = 1;

type Props = { due: Due; facts: PlotFacts; part: PartOfDay };

/** The dawn round: to begin, to go on with, or done. */
export function RoundCard({ due, facts, part }: Props) {
  const begin = async (): Promise<void> => {
    let id = '';
    const started = await kept(async () => {
      id = await startRound(facts.observer, facts.time_zone);
    });
    if (started) navigate(`/round/${id}`);
  };
  if (due.n_boards === 0) return <NoBoards />;
  if (due.open) return <OpenRound open={due.open} facts={facts} />;
  if (due.done) return <DoneRound done={due.done} facts={facts} onAgain={() => void begin()} />;
  const morning = part === 'morning';
  return (
    <Card title={t('now.round_due')} icon="plank" tone={morning ? 'glow' : 'plain'}>
      <p>
        {t('now.round_due_text', { n: due.n_boards, minutes: Math.ceil(due.n_boards * MINUTES_A_BOARD) })}{' '}
        {!morning && t('now.round_best_at_dawn')}
      </p>
      {due.last && (
        <p class="soft small figures">
          {t('now.last_round', {
            day: dayWords(due.last.day, facts.time_zone),
            mean: decimals(due.last.mean.mean),
          })}
        </p>
      )}
      {mayRecord(facts) && (
        <div class="now-go">
          <Button kind={morning ? 'main' : 'plain'} icon="plank" wide onClick={() => void begin()}>
            {t('now.round_start')}
          </Button>
        </div>
      )}
    </Card>
  );
}

function NoBoards() {
  return (
    <Card title={t('now.round_due')} icon="plank">
      <p>{t('now.no_boards')}</p>
      <ButtonLink wide to="/plot">
        {t('round.to_plot')}
      </ButtonLink>
    </Card>
  );
}

function OpenRound({ open, facts }: { open: NonNullable<Due['open']>; facts: PlotFacts }) {
  const { body } = open.view;
  return (
    <Card title={t('now.round_due')} icon="plank" tone="glow">
      <p>
        {t('now.round_open_text', {
          time: timeWords(body.started_at ?? body.observed_at ?? '', facts.time_zone),
          who: body.observer || t('round.someone'),
          n: open.n_done,
          m: open.n_boards,
        })}
      </p>
      {mayRecord(facts) && (
        <div class="now-go">
          <ButtonLink kind="main" icon="plank" wide to={`/round/${open.view.id}`}>
            {t('now.round_resume')}
          </ButtonLink>
        </div>
      )}
    </Card>
  );
}

function DoneRound(props: { done: NonNullable<Due['done']>; facts: PlotFacts; onAgain: () => void }) {
  const { mean, total, view } = props.done;
  return (
    <Card title={t('now.round_done')} icon="tick" tone="good">
      {mean && mean.high !== null ? (
        <>
          <p class="figures">
            {t('now.round_done_text', {
              total,
              mean: decimals(mean.mean),
              interval: intervalWords(mean.low, mean.high),
            })}
          </p>
          <RangeBar value={mean.mean} low={mean.low} high={mean.high} />
        </>
      ) : (
        <p>
          {t('now.round_done_plain', { time: timeWords(view.body.finished_at ?? '', props.facts.time_zone) })}
        </p>
      )}
      {mayRecord(props.facts) && (
        <div class="row">
          <ButtonLink to={`/round/${view.id}`}>{t('now.round_look')}</ButtonLink>
          <Button kind="quiet" onClick={props.onAgain}>
            {t('now.round_again')}
          </Button>
        </div>
      )}
    </Card>
  );
}
