import { useMemo } from 'preact/hooks';
import { ButtonLink, Card, Notice } from '../../parts';
import { Framed } from '../../parts/chart';
import { decimals, inOurWords, t } from '../../text';
import { dayWords } from '../forms/local_time';
import type { Mark } from './load';
import { againstUsual, type Point } from './model';
import { limitWords, pressureNumbers, pressurePicture, standingWords } from './pressure_picture';
import { dayMs, dayOf } from './season_days';

type Props = {
  /** What is shown. */
  points: readonly Point[];
  /** All that "usual" may stand on. */
  known: readonly Point[];
  marks: readonly Mark[];
  frosts: readonly string[];
  today: string;
  source: string;
};

/** Slugs a board, round by round, with the limits, and what was done and froze between. */
export function Pressure({ points, known, marks, frosts, today, source }: Props) {
  const picture = useMemo(() => pressurePicture(points, marks, frosts), [points, marks, frosts]);
  const numbers = useMemo(() => pressureNumbers(points), [points]);
  const byDay = useMemo(() => new Map(points.map((point) => [dayMs(point.day), point])), [points]);
  const says = (x: number): string => {
    const point = byDay.get(x);
    const day = dayOf(x);
    const done = marks.filter((mark) => mark.day === day).map((mark) => mark.label);
    const froze = frosts.includes(day) ? [t('findings.key_frost')] : [];
    const counted = point ? [pointWords(point)] : [];
    return `${dayWords(day, today)}: ${[...counted, ...done, ...froze].join('; ')}`;
  };
  const { sentence, notes } = wordsOf(known, today);
  return (
    <Card title={t('findings.pressure')} icon="plank">
      <Framed
        picture={picture}
        numbers={numbers}
        sentence={sentence}
        source={source}
        says={says}
        after={
          <>
            <Disputes points={points} />
            <WrongClocks points={points} />
          </>
        }
      >
        {notes.map((words) => (
          <p key={words} class="soft small">
            {words}
          </p>
        ))}
      </Framed>
      {marks.length > 0 && <Treatments marks={marks} picture={picture.whole} today={today} />}
      <details class="findings-more">
        <summary>{t('findings.how')}</summary>
        <p class="soft small">{t('findings.how_text')}</p>
      </details>
    </Card>
  );
}

function pointWords(point: Point): string {
  return t('findings.point', {
    mean: decimals(point.mean),
    limits: limitWords(point.low, point.high),
    n: point.n,
    standing: standingWords(point),
  });
}

/** The newest valid round against what has been usual, and what to bear in mind with it. */
function wordsOf(points: readonly Point[], today: string): { sentence: string; notes: string[] } {
  const latest = points.filter((point) => point.kind === 'valid').at(-1);
  if (!latest) return { sentence: t('findings.none_valid'), notes: [] };
  const compared = againstUsual(points);
  const facts = { day: dayWords(latest.day, today), mean: decimals(latest.mean), n: latest.n };
  const found =
    latest.low === null || latest.high === null
      ? t('findings.sentence_open', facts)
      : t('findings.sentence', { ...facts, low: decimals(latest.low), high: decimals(latest.high) });
  const against = compared
    ? t(`findings.against_${compared.verdict}`, { usual: decimals(compared.usual), n: compared.n_usual })
    : t('findings.against_none');
  return {
    sentence: `${found} ${against}`,
    notes: [
      ...(compared ? [t('findings.no_alarm')] : []),
      ...(points.at(-1) === latest ? [] : [t('findings.last_not_counted')]),
      ...latest.cautions.map(inOurWords),
    ],
  };
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

function WrongClocks({ points }: { points: readonly Point[] }) {
  const n = points.filter((point) => point.clock_suspect).length;
  if (n === 0) return null;
  return (
    <Notice tone="glow" action={<ButtonLink to="/diary">{t('findings.clock_look')}</ButtonLink>}>
      {t('findings.n_clock', { n })}
    </Notice>
  );
}

type TreatmentsProps = { marks: readonly Mark[]; picture: { from: number; to: number }; today: string };

function Treatments({ marks, picture, today }: TreatmentsProps) {
  const shown = marks.filter((mark) => dayMs(mark.day) >= picture.from && dayMs(mark.day) <= picture.to);
  if (shown.length === 0) return null;
  return (
    <details class="findings-more">
      <summary>{t('findings.treatments')}</summary>
      <ul class="stack-tight small">
        {[...shown].reverse().map((mark) => (
          <li key={`${mark.day}${mark.label}`}>
            {dayWords(mark.day, today)}: {mark.label}
          </li>
        ))}
      </ul>
    </details>
  );
}
