import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { type PartOfDay, partOfDay, spotOf, sunOn } from '../../domain/daylight';
import { ButtonLink, EmptyState, Icon, Link, Notice, PageHeader } from '../../parts';
import { useAfterBreath } from '../../parts/breath';
import { loadDraft, useLive } from '../../storage';
import { syncState } from '../../sync';
import { dayWords, loadScreenTexts, t, timeWords } from '../../text';
import { localClock, localDay } from '../forms/local_time';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { AlarmCards } from './alarm_cards';
import type { Alarms } from './alarms';
import { EveningCard, NeedsYou, ThermometerCard, TrapsCard } from './cards';
import type { Due } from './model';
import { FIRST_TYPES, readFirst } from './reading';
import { RoundCard } from './round_card';
import { Sky, sunWords } from './sky';
import './style.css';

const MINUTE_MS = 60_000;

export default function Now() {
  const facts = usePlotFacts();
  if (!facts) return <div class="page" aria-busy="true" />;
  return facts.plot ? <Today facts={facts} plot={facts.plot.body} /> : <Welcome facts={facts} />;
}

type TodayProps = { facts: PlotFacts; plot: NonNullable<PlotFacts['plot']>['body'] };

function Today({ facts, plot }: TodayProps) {
  const now = useMinute();
  const today = localDay(new Date(now), facts.time_zone);
  const read = useLive(() => readFirst(facts, now), FIRST_TYPES, [now, facts.time_zone, facts.observer]);
  const late = useLateParts(read !== undefined);
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
      {/* Nothing is drawn that would have to make way for what is read later: a thumb may be on its way to it. */}
      {read && late && (
        <Warned late={late} facts={facts} now={now} alarms={read.alarms}>
          <DueCards due={read.due} facts={facts} part={part} />
        </Warned>
      )}
    </div>
  );
}

/** What is due, mounted when all of it is known. */
function DueCards({ due, facts, part }: { due: Due; facts: PlotFacts; part: PartOfDay }) {
  const writes = mayRecord(facts);
  // Conflicts are counted while the cards are looked at already: what that brings stands under them.
  const [asked] = useState(() => syncState.value.needs_you > 0);
  const drawn = useAfterBreath();
  return (
    <>
      {writes && part === 'evening' && !due.evening_read && <EveningCard meters={due.thermometers.all} />}
      <RoundCard due={due} facts={facts} part={part} />
      {writes && asked && <NeedsYou kept />}
      {drawn && (
        <>
          <TrapsCard traps={due.traps} />
          <ThermometerCard due={due} evening={part !== 'evening' || due.evening_read} writes={writes} />
          <SyncFacts timeZone={facts.time_zone} />
          {writes && !asked && <NeedsYou kept={false} />}
        </>
      )}
    </>
  );
}

type LateParts = typeof import('./late');
type WarnedProps = {
  late: LateParts | 'away';
  facts: PlotFacts;
  now: number;
  alarms: Alarms;
  children: ComponentChildren;
};

/** Warnings and what is said of nights, above what is due. */
function Warned({ late, facts, now, alarms, children }: WarnedProps) {
  if (late !== 'away') return <late.Late {...{ facts, now, alarms }}>{children}</late.Late>;
  return (
    <>
      <AlarmCards alarms={alarms} facts={facts} now={now} />
      {children}
    </>
  );
}

/** Longer than this the rest does not wait for what is said of nights. */
const LATE_AT_MOST_MS = 1_000;

let lateParts: Promise<LateParts> | undefined;

/** Fetched beside the first reading of the records, so that neither waits for the other. */
function fetchLate(): Promise<LateParts> {
  lateParts ??= Promise.all([import('./late'), loadScreenTexts()]).then(
    ([late]) => late,
    (error: unknown) => {
      lateParts = undefined;
      throw error;
    },
  );
  return lateParts;
}
fetchLate().catch(() => undefined);

/**
 * 'away': they cannot be had, or not soon once the rest is `there`. It stays so until Now is opened again, since cards
 * that came now would push the others about. They are not missed: the warnings page has the same.
 */
function useLateParts(there: boolean): LateParts | 'away' | undefined {
  const [parts, setParts] = useState<LateParts | 'away'>();
  const first = (found: LateParts | 'away'): void => setParts((before) => before ?? found);
  useEffect(() => {
    fetchLate().then(first, () => first('away'));
  }, []);
  useEffect(() => {
    if (!there) return undefined;
    const away = setTimeout(() => first('away'), LATE_AT_MOST_MS);
    return () => clearTimeout(away);
  }, [there]);
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

/** No plot yet: to begin, or to go on where somebody stopped who had joined or answered the first questions. */
function Welcome({ facts }: { facts: PlotFacts }) {
  const begun = useLive(
    async () => Boolean(facts.plot_id ?? (await loadDraft('first_run'))),
    [],
    [facts.plot_id],
  );
  if (begun === undefined) return <div class="page" aria-busy="true" />;
  return (
    <div class="page now-welcome">
      <EmptyState
        title={t('now.welcome_title')}
        action={
          <ButtonLink kind="main" to="/start">
            {t(begun ? 'now.welcome_go_on' : 'now.welcome_go')}
          </ButtonLink>
        }
      >
        {t(begun ? 'now.welcome_begun' : 'now.welcome_text')}
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
        {only_here > 0 ? t('now.only_here', { n: only_here }) : words || t('shell.sync')}
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
