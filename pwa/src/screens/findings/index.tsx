import { useCallback, useEffect, useMemo, useState } from 'preact/hooks';
import { ButtonLink, Card, EmptyState, PageHeader, Segmented } from '../../parts';
import { dateWords, fetchDrawing, WhenSeen } from '../../parts/chart';
import { changes, type Known, list, useLive, whenQuiet } from '../../storage';
import { t } from '../../text';
import { choiceWords } from '../diary/words';
import { localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { Beds } from './beds_card';
import { ComingUpCard } from './coming_up_card';
import { type FindingsGround, keepSummaries, loadGround, loadSeason, type Mark, type Season } from './load';
import { type Point, type Span, within } from './model';
import { Pressure } from './pressure';
import { Seasons } from './seasons_card';
import { useYears } from './use_years';
import { frostDays } from './warm_days';
import { Warmth } from './warmth_card';
import { Warned } from './warned';
import { Worms } from './worms_card';
import { pointsOf, warmOf } from './years';
import '../forms/style.css';
import './style.css';

const SPANS: readonly Span[] = ['month', 'season', 'all'];
const ALL_YEARS = 99;
/** This year and the one before it: what temperatures and sowings look back on. */
const TWO_YEARS = 2;

async function loadMarks(timeZone: string, label: ReadonlyMap<string, string>): Promise<Mark[]> {
  const treatments = await list('treatment');
  return treatments.flatMap((view): Mark[] => {
    const at = view.body.observed_at;
    if (!at) return [];
    const where = (view.body.place_ids ?? []).map((id) => label.get(id)).filter(Boolean);
    const words = [choiceWords(view.body.kind), where.join(', ')].filter(Boolean).join(' · ');
    return [{ day: localDay(at, timeZone), label: words }];
  });
}

/** What was read when the screen was open before; it stands while no record has changed since. */
const memory = new Map<string, Known<unknown>>();

async function kept<T>(key: string, load: () => Promise<T>): Promise<T> {
  const known = memory.get(key) as Known<T> | undefined;
  const told = changes.told();
  if (known?.told === told) return known.value;
  const value = await load();
  memory.set(key, { value, told });
  return value;
}

export default function Findings() {
  const facts = usePlotFacts();
  const zone = facts?.time_zone;
  const today = localDay(new Date(), zone ?? 'UTC');
  const ground = useLive(() => kept('ground', loadGround), ['station', 'place']);
  const season = useLive(
    () =>
      facts && ground
        ? kept(`${today} ${zone}`, () => loadSeason(facts, ground.boards))
        : Promise.resolve(undefined),
    ['round', 'slug_count'],
    [zone, ground],
  );
  useEffect(fetchDrawing, []);
  if (!facts || !ground || (facts.plot && !season)) return <div class="page" aria-busy="true" />;
  if (!facts.plot || !season) return <NoPlot title={t('findings.title')} />;
  return <Pictures facts={facts} ground={ground} season={season} />;
}

type Props = { facts: PlotFacts; ground: FindingsGround; season: Season };

function Pictures({ facts, ground, season }: Props) {
  const zone = facts.time_zone;
  const today = localDay(new Date(), zone);
  const [span, setSpan] = useState<Span>('season');
  const [wanted, setWanted] = useState(0);
  const want = useCallback((n: number) => setWanted((before) => Math.max(before, n)), []);
  const years = useYears(facts, ground, wanted);
  const digests = years?.digests ?? [];
  const left = years?.left ?? TWO_YEARS; // before reading begins
  const marks = useLive(() => loadMarks(zone, ground.label), ['treatment'], [zone, ground]) ?? NO_MARKS;
  const fresh = season.points;
  useEffect(() => {
    void whenQuiet().then(keepSummaries);
  }, [fresh]);
  useEffect(() => {
    // Frosts are marks on the first picture: their years are read once it stands.
    void whenQuiet().then(() => want(TWO_YEARS));
  }, []);
  const all = useMemo(() => joined(pointsOf(digests), fresh, season.from), [years, fresh]);
  const points = useMemo(() => within(span === 'all' ? all : fresh, span), [all, fresh, span]);
  const frozen = useMemo(() => {
    const open = ground.glasses.find(({ exposure }) => exposure !== 'soil' && exposure !== 'under_cover');
    return open
      ? frostDays(warmOf(digests, open.id))
          .map((day) => day.day)
          .join()
      : '';
  }, [years, ground]);
  // By its content: a year read again with the same frosts draws nothing anew.
  const frosts = useMemo(() => (frozen === '' ? [] : frozen.split(',')), [frozen]);
  const source = sourceOf(facts, today);
  const shared = { ground, timeZone: zone, today, source };
  return (
    <div class="page page-wide">
      <PageHeader title={t('findings.title')} />
      {all.length === 0 && (
        <EmptyState title={t('findings.empty_title')}>{t('findings.empty_text')}</EmptyState>
      )}
      {fresh.length > 0 && (
        <>
          <Segmented
            label={t('findings.span')}
            hideLabel
            value={span}
            choices={SPANS.map((value) => ({ value, label: t(`findings.span_${value}`) }))}
            onChoose={(value) => {
              if (value === 'all') want(ALL_YEARS);
              setSpan(value);
            }}
          />
          {span === 'all' && years && years.left > 0 && (
            <p class="soft small" role="status">
              {t('findings.years_left', { n: years.left })}
            </p>
          )}
          <div class="findings-cards findings-first">
            <Pressure
              points={points}
              known={fresh}
              marks={marks}
              frosts={frosts}
              today={today}
              source={source}
            />
            <WhenSeen>{() => <Beds points={fresh} {...shared} />}</WhenSeen>
            <WhenSeen>
              {() => (
                <Seasons
                  points={all}
                  left={years?.left ?? 0}
                  onWanted={() => want(ALL_YEARS)}
                  source={source}
                />
              )}
            </WhenSeen>
          </div>
        </>
      )}
      <div class="findings-cards">
        <WhenSeen>
          {() => (
            <Warmth
              {...{
                glasses: ground.glasses,
                label: ground.label,
                digests,
                left,
                span,
                unit: facts.unit,
                today,
                source,
              }}
              onWanted={() => want(TWO_YEARS)}
            />
          )}
        </WhenSeen>
        <WhenSeen>{() => <ComingUpCard digests={digests} left={left} {...shared} />}</WhenSeen>
        <WhenSeen>{() => <Worms {...shared} />}</WhenSeen>
        <Card title={t('findings.trials')} icon="tick">
          <p>{t('findings.trials_text')}</p>
          <ButtonLink wide to="/trials">
            {t('findings.to_trials')}
          </ButtonLink>
        </Card>
        <Warned facts={facts} today={today} />
      </div>
    </div>
  );
}

const NO_MARKS: readonly Mark[] = [];

/** What was kept of the years, with the last half year as it stands now. */
function joined(kept: readonly Point[], fresh: readonly Point[], from: string): Point[] {
  return [...kept.filter((point) => point.day < from), ...fresh];
}

function sourceOf(facts: PlotFacts, today: string): string {
  const body = facts.plot?.body;
  const words = t('findings.source', { plot: body?.name ?? '', day: dateWords(today) });
  return body?.invented ? `${words} ${t('findings.source_invented')}` : words;
}
