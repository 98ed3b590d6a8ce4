import { useEffect, useState } from 'preact/hooks';
import { partOfDay, spotOf, sunOn } from '../../domain/daylight';
import { ButtonLink, EmptyState, Icon, Link, Notice, PageHeader } from '../../parts';
import { useLive } from '../../storage';
import { syncState } from '../../sync';
import { dayWords, loadScreenTexts, t, timeWords } from '../../text';
import { localClock, localDay } from '../forms/local_time';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { AlarmCards } from './alarm_cards';
import { readAlarms } from './alarms';
import { EveningCard, NeedsYou, ThermometerCard, TrapsCard } from './cards';
import { readDue } from './model';
import { RoundCard } from './round_card';
import { Sky, sunWords } from './sky';
import './style.css';

const MINUTE_MS = 60_000;

export default function Now() {
  const facts = usePlotFacts();
  if (!facts) return <div class="page" aria-busy="true" />;
  return facts.plot ? <Today facts={facts} plot={facts.plot.body} /> : <Welcome />;
}

type TodayProps = { facts: PlotFacts; plot: NonNullable<PlotFacts['plot']>['body'] };

function Today({ facts, plot }: TodayProps) {
  const now = useMinute();
  const today = localDay(new Date(now), facts.time_zone);
  const due = useLive(
    () => readDue(facts, new Date()),
    ['round', 'slug_count', 'station', 'place', 'trap_catch', 'temperature', 'evening'],
    [today, facts.time_zone, facts.observer],
  );
  const alarms = useLive(
    () => readAlarms(facts, now),
    ['warning', 'warning_reply', 'place'],
    [now, facts.observer],
  );
  const night = useNight();
  const writes = mayRecord(facts);
  const spot = spotOf(plot);
  const sun = spot && sunOn(today, spot);
  const part = partOfDay(now, Number.parseInt(localClock(new Date(now), facts.time_zone), 10), sun);
  const words = sunWords(now, sun, facts.time_zone);
  return (
    <div class="page now">
      <div class="sky">
        <Sky now={now} sun={sun} />
        <PageHeader
          title={t('now.title')}
          under={
            <>
              {plot.name} · {dayWords(new Date(now), facts.time_zone)}
              {words && <span class="sky-words">{words}</span>}
            </>
          }
        />
      </div>
      {plot.invented && <Notice tone="glow">{t('now.invented')}</Notice>}
      {alarms && night ? (
        <night.WithTonight facts={facts} now={now} alarms={alarms}>
          {(left) => (
            <AlarmCards alarms={left} facts={facts} now={now}>
              {left.n_known > 0 && <night.LastNight facts={facts} now={now} />}
            </AlarmCards>
          )}
        </night.WithTonight>
      ) : (
        alarms && <AlarmCards alarms={alarms} facts={facts} now={now} />
      )}
      {night && <night.HarvestWaits facts={facts} now={now} />}
      {night && <night.TrialsDue facts={facts} now={now} />}
      {due && (
        <>
          {writes && part === 'evening' && !due.evening_read && <EveningCard meters={due.thermometers.all} />}
          <RoundCard due={due} facts={facts} part={part} />
          {writes && <NeedsYou />}
          <TrapsCard traps={due.traps} />
          <ThermometerCard due={due} evening={part !== 'evening' || due.evening_read} writes={writes} />
        </>
      )}
      <SyncFacts timeZone={facts.time_zone} />
    </div>
  );
}

type NightParts = typeof import('./night') &
  typeof import('../diary/harvest_waits') &
  typeof import('../trials/due_card');

/** What is said of nights, and of treated places, comes after the first picture: it needs more code than that may wait for. */
function useNight(): NightParts | undefined {
  const [parts, setParts] = useState<NightParts>();
  useEffect(() => {
    Promise.all([
      import('./night'),
      import('../diary/harvest_waits'),
      import('../trials/due_card'),
      loadScreenTexts(),
    ]).then(
      ([night, harvest, trials]) => setParts({ ...night, ...harvest, ...trials }),
      () => undefined, // a screen that cannot be fetched now is not missed: the warnings page has the same
    );
  }, []);
  return parts;
}

/** The time, a new one each minute, so that "in 25 minutes" stays true. */
function useMinute(): number {
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    const tick = setInterval(() => setNow(Date.now()), MINUTE_MS);
    return () => clearInterval(tick);
  }, []);
  return now;
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

/** One line on where the records are; the Sync screen has the rest. */
function SyncFacts({ timeZone }: { timeZone: string }) {
  const { only_here, last_sync_at, words } = syncState.value;
  return (
    <Link to="/sync" class="now-sync">
      <Icon name="sync" />
      <span class="grow">
        {only_here > 0 ? t('now.only_here', { n: only_here }) : words}
        {last_sync_at && (
          <span class="soft small">
            {' '}
            {t('now.last_sync', {
              day: dayWords(last_sync_at, timeZone),
              time: timeWords(last_sync_at, timeZone),
            })}
          </span>
        )}
      </span>
      <Icon name="next" />
    </Link>
  );
}
