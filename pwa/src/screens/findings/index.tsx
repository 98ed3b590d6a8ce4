import { useState } from 'preact/hooks';
import { ButtonLink, Card, EmptyState, Notice, PageHeader, Segmented } from '../../parts';
import { list, useLive } from '../../storage';
import { decimals, t } from '../../text';
import { choiceWords } from '../diary/words';
import { known } from '../forms/known';
import { dayWords, localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { usePlotFacts } from '../forms/plot_facts';
import type { TreatmentMark } from './chart';
import {
  againstUsual,
  type CountView,
  type Point,
  pressure,
  type RoundView,
  type Span,
  spanStart,
  within,
} from './model';
import { PressureChart } from './pressure_chart';
import { Warned } from './warned';
import '../forms/style.css';
import './style.css';

/** Never less than half a year, so that "usual" has rounds to stand on; all seasons only when asked for. */
async function load(timeZone: string, all: boolean) {
  const views = await list('round');
  const every = views.map(
    (view) => ({ ...known(view.body), id: view.id, conflicted: view.conflicts.length > 0 }) as RoundView,
  );
  const from = spanStart(every, all ? 'all' : 'season', timeZone);
  const [counts, treatments, places] = await Promise.all([
    list('slug_count', from ? { from } : {}),
    list('treatment'),
    list('place'),
  ]);
  const points = pressure(
    every.filter((round) => !from || localDay(round.observed_at ?? '1970-01-01', timeZone) >= from),
    counts.map(
      (view) => ({ ...known(view.body), id: view.id, conflicted: view.conflicts.length > 0 }) as CountView,
    ),
    timeZone,
  );
  const labelOf = new Map(places.map((view) => [view.id, view.body.label ?? '']));
  const marks = treatments.flatMap((view): TreatmentMark[] => {
    const at = view.body.observed_at;
    if (!at) return [];
    const where = (view.body.place_ids ?? [])
      .map((id) => labelOf.get(id))
      .filter(Boolean)
      .join(', ');
    const label = [choiceWords(view.body.kind), where].filter(Boolean).join(' · ');
    return [{ at_ms: Date.parse(at), day: localDay(at, timeZone), label }];
  });
  return { points, marks };
}

const SPANS: readonly Span[] = ['month', 'season', 'all'];

export default function Findings() {
  const facts = usePlotFacts();
  const [span, setSpan] = useState<Span>('season');
  const zone = facts?.time_zone;
  const data = useLive(
    () => (zone ? load(zone, span === 'all') : Promise.resolve(undefined)),
    ['round', 'slug_count', 'treatment', 'place'],
    [zone, span === 'all'],
  );
  if (!facts || !data) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('findings.title')} />;
  const points = within(data.points, span);
  const today = localDay(new Date(), facts.time_zone);
  if (points.length === 0) {
    return (
      <div class="page">
        <PageHeader title={t('findings.title')} />
        <EmptyState title={t('findings.empty_title')}>{t('findings.empty_text')}</EmptyState>
        <Warned facts={facts} today={today} />
      </div>
    );
  }
  const first = points[0]?.at_ms ?? 0;
  const last = points.at(-1)?.at_ms ?? 0;
  const marks = data.marks.filter(
    (mark) => mark.at_ms >= first - 86_400_000 && mark.at_ms <= last + 86_400_000,
  );
  return (
    <div class="page page-wide">
      <PageHeader title={t('findings.title')} />
      <Segmented
        label={t('findings.span')}
        hideLabel
        value={span}
        choices={SPANS.map((value) => ({ value, label: t(`findings.span_${value}`) }))}
        onChoose={setSpan}
      />
      <Card title={t('findings.pressure')} icon="plank">
        <Sentence points={data.points} today={today} />
        <PressureChart points={points} treatments={marks} today={today} />
        <Disputes points={points} />
        <Numbers points={points} today={today} />
        {marks.length > 0 && <Treatments marks={marks} today={today} />}
        <details class="findings-more">
          <summary>{t('findings.how')}</summary>
          <p class="soft small">{t('findings.how_text')}</p>
        </details>
      </Card>
      <Warned facts={facts} today={today} />
    </div>
  );
}

/** The newest valid round in words, against what has been usual. */
function Sentence({ points, today }: { points: readonly Point[]; today: string }) {
  const latest = points.filter((point) => point.kind === 'valid').at(-1);
  if (!latest) return null;
  const compared = againstUsual(points);
  const facts = { day: dayWords(latest.day, today), mean: decimals(latest.mean), n: latest.n };
  const newer = points.at(-1) !== latest;
  return (
    <div class="stack-tight">
      <p class="findings-sentence">
        {latest.low === null || latest.high === null
          ? t('findings.sentence_open', facts)
          : t('findings.sentence', { ...facts, low: decimals(latest.low), high: decimals(latest.high) })}
      </p>
      <p>
        {compared
          ? t(`findings.against_${compared.verdict}`, {
              usual: decimals(compared.usual),
              n: compared.n_usual,
            })
          : t('findings.against_none')}
      </p>
      <p class="soft small">
        {compared && t('findings.no_alarm')} {newer && t('findings.last_not_counted')}
      </p>
      {latest.cautions.map((words) => (
        <p key={words} class="soft small">
          {words}
        </p>
      ))}
    </div>
  );
}

function Disputes({ points }: { points: readonly Point[] }) {
  const n = points.filter((point) => point.kind === 'disputed').length;
  if (n === 0) return null;
  return (
    <Notice tone="glow">
      <div class="stack-tight">
        <p>{t('findings.n_disputed', { n })}</p>
        <ButtonLink to="/sync">{t('findings.to_settle')}</ButtonLink>
      </div>
    </Notice>
  );
}

function standingWords(point: Point): string {
  const missed = [
    ...(point.n_not_turned > 0 ? [t('findings.missed', { n: point.n_not_turned })] : []),
    ...(point.n_kept > 0 ? [t('findings.kept_both', { n: point.n_kept })] : []),
  ];
  if (point.kind === 'not_valid') {
    const why = point.why_not
      ? t('findings.standing_not_valid_why', { why: point.why_not })
      : t('findings.standing_not_valid');
    return [why, ...missed].join(', ');
  }
  if (point.kind === 'valid') return [t('findings.standing_valid'), ...missed].join(', ');
  const disputed =
    point.n_disputed > 0
      ? t('findings.standing_disputed', { n: point.n_disputed })
      : t('findings.standing_disputed_round');
  return [disputed, ...missed].join(', ');
}

function intervalOf(point: Point): string {
  if (point.low === null) return '–';
  if (point.high === null) return t('findings.open_end', { low: decimals(point.low) });
  return `${decimals(point.low)}–${decimals(point.high)}`;
}

function Numbers({ points, today }: { points: readonly Point[]; today: string }) {
  return (
    <details class="findings-more">
      <summary>{t('findings.table')}</summary>
      <div class="table-frame">
        <table class="findings-table figures">
          <thead>
            <tr>
              <th scope="col">{t('findings.col_day')}</th>
              <th scope="col">{t('findings.col_boards')}</th>
              <th scope="col">{t('findings.col_mean')}</th>
              <th scope="col">{t('findings.col_interval')}</th>
            </tr>
          </thead>
          <tbody>
            {[...points].reverse().map((point) => (
              <tr key={point.round_id} class={point.kind === 'valid' ? '' : 'row-doubtful'}>
                <th scope="row">
                  {dayWords(point.day, today)}
                  <span class="row-standing">{standingWords(point)}</span>
                </th>
                <td>{point.n}</td>
                <td>{decimals(point.mean)}</td>
                <td>{intervalOf(point)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}

function Treatments({ marks, today }: { marks: readonly TreatmentMark[]; today: string }) {
  return (
    <div class="stack-tight">
      <h3>{t('findings.treatments')}</h3>
      <ul class="stack-tight small">
        {[...marks].reverse().map((mark) => (
          <li key={`${mark.at_ms}${mark.label}`}>
            {dayWords(mark.day, today)}: {mark.label}
          </li>
        ))}
      </ul>
    </div>
  );
}
