import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { firstSentence } from '../../domain/warnings';
import { Button, ButtonLink, Icon, Link } from '../../parts';
import { t } from '../../text';
import { localClock } from '../forms/local_time';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { say } from '../warnings/replies';
import { deedOf, figureOf, goOf, iconOf, placesOf, rankWords, windowWords } from '../warnings/words';
import { Written } from '../warnings/written';
import { type Alarm, type Alarms, MOST_CARDS } from './alarms';
import './alarms.css';

type Props = { alarms: Alarms; facts: PlotFacts; now: number; children?: ComponentChildren };

/** What must be known first: the gravest three whole, the rest behind one line. */
export function AlarmCards({ alarms, facts, now, children }: Props) {
  const shown = alarms.standing.slice(0, MOST_CARDS);
  const more = alarms.standing.length - shown.length;
  return (
    <>
      <Heard alarms={alarms.standing} />
      {shown.length > 0 && (
        <section class="alarms" aria-label={t('now.alarms')}>
          {shown.map((alarm) =>
            alarm.answer.seen || alarm.view.body.loud === false || isSmall(alarm.view.body) ? (
              <Quiet key={alarm.view.id} alarm={alarm} facts={facts} />
            ) : (
              <Loud key={alarm.view.id} alarm={alarm} facts={facts} now={now} labels={alarms.labels} />
            ),
          )}
        </section>
      )}
      {children}
      {alarms.n_known > 0 && (
        <Link to="/warnings" class="alarms-line">
          <span class="grow">{more > 0 ? t('now.alarms_more', { n: more }) : t('now.alarms_all')}</span>
          <Icon name="next" />
        </Link>
      )}
    </>
  );
}

/** Nothing is lost by an hour: one line, so that the round is not pushed off the screen. Its own page has the rest. */
function isSmall({ severity, urgency, rule }: Alarm['view']['body']): boolean {
  return severity === 'Minor' && urgency !== 'Immediate' && deedOf(rule) !== 'covered';
}

/** Reads a warning aloud that came while the screen was open; what stood there before is read as the page is. */
function Heard({ alarms }: { alarms: readonly Alarm[] }) {
  const known = useRef<Set<string> | undefined>(undefined);
  const [words, setWords] = useState('');
  const ids = alarms.map(({ view }) => view.id).join(' ');
  useEffect(() => {
    const fresh = known.current && alarms.find(({ view }) => !known.current?.has(view.id));
    known.current = new Set([...(known.current ?? []), ...alarms.map(({ view }) => view.id)]);
    if (fresh) setWords(t('now.alarm_new', { headline: fresh.view.body.headline ?? '' }));
  }, [ids]);
  return (
    <p class="only-heard" role="status">
      {words}
    </p>
  );
}

type OneProps = { alarm: Alarm; facts: PlotFacts };

function Loud({
  alarm,
  facts,
  now,
  labels,
}: OneProps & { now: number; labels: ReadonlyMap<string, string> }) {
  const { id, body } = alarm.view;
  const title = useId();
  const deed = deedOf(body.rule);
  const go = goOf(body.rule);
  const figure = figureOf(body);
  const writes = mayRecord(facts);
  return (
    <article class={`alarm alarm-${body.severity ?? 'Unknown'}`} aria-labelledby={title}>
      <p class="alarm-rank">
        <Icon name={iconOf(body.rule)} />
        <span class="grow">{rankWords(body)}</span>
        {figure && (
          <span class="alarm-figure figures">
            <strong>{figure.value}</strong> <span class="small">{figure.words}</span>
          </span>
        )}
      </p>
      <h2 id={title}>
        <Link to={`/warning/${id}`} class="alarm-words">
          <Written words={body.headline} />
        </Link>
      </h2>
      <p class="alarm-where figures">
        {[windowWords(body, new Date(now), facts.time_zone), placesOf(body, labels)]
          .filter(Boolean)
          .join('\u00a0· ')}
      </p>
      <p class="alarm-do">
        <Written words={firstSentence(body.advice)} />
      </p>
      <div class="alarm-deeds">
        {writes && <Button onClick={() => void say(id, { seen: true }, facts)}>{t('now.alarm_seen')}</Button>}
        {writes && deed && (
          <Button kind="main" icon="tick" onClick={() => void say(id, { seen: true, acted: true }, facts)}>
            {t(`now.deed_${deed}`)}
          </Button>
        )}
        {writes && go && !deed && (
          <ButtonLink kind="main" to={`/${go}`}>
            {t(`now.go_${go}`)}
          </ButtonLink>
        )}
      </div>
    </article>
  );
}

/** Read before, small, or never loud: one line that keeps its place, and says who has done something about it. */
function Quiet({ alarm, facts }: OneProps) {
  const { view, answer } = alarm;
  const deed = deedOf(view.body.rule) ?? 'done';
  return (
    <Link to={`/warning/${view.id}`} class={`alarm-quiet alarm-${view.body.severity ?? 'Unknown'}`}>
      <Icon name={answer.acted ? 'tick' : iconOf(view.body.rule)} />
      <span class="grow">
        <Written words={view.body.headline} />
        <span class="alarm-said small">
          {answer.acted
            ? t('now.alarm_acted', {
                deed: t(`now.deed_${deed}`),
                who: answer.acted.observer || t('round.someone'),
                clock: localClock(answer.acted.at, facts.time_zone),
              })
            : answer.seen && t('now.alarm_was_seen')}
        </span>
      </span>
      <Icon name="next" />
    </Link>
  );
}
