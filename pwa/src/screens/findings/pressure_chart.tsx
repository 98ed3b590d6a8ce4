import { useId } from 'preact/hooks';
import { t } from '../../text';
import { dayWords } from '../forms/local_time';
import { CHART, type Drawing, drawing, type Mark, type TreatmentMark } from './chart';
import type { Point, PointKind } from './model';

type Props = { points: readonly Point[]; treatments: readonly TreatmentMark[]; today: string };

/** From so many rounds on the marks are drawn small, or they would hide one another. */
const DENSE = 60;

/** Mean per round with its interval. Kinds of rounds differ in shape, not in colour alone. */
export function PressureChart({ points, treatments, today }: Props) {
  const title = useId();
  const drawn = drawing(points, treatments);
  const dense = points.length > DENSE;
  const kinds = (['valid', 'not_valid', 'disputed'] as const).filter((kind) =>
    points.some((point) => point.kind === kind),
  );
  return (
    <figure class={dense ? 'chart chart-dense' : 'chart'}>
      <p class="soft small">{t('findings.axis')}</p>
      <svg
        class="chart-sheet"
        viewBox={`0 0 ${CHART.width} ${CHART.height}`}
        role="img"
        aria-labelledby={title}
      >
        <title id={title}>{t('findings.chart_label')}</title>
        <Axis drawn={drawn} today={today} />
        {drawn.treatments.map((mark) => (
          <path
            key={`${mark.x}${mark.label}`}
            class="chart-treatment"
            d={`M${mark.x} ${CHART.top}V${drawn.base}M${mark.x - 4} ${CHART.top - 8}h8l-4 8z`}
          />
        ))}
        {drawn.line && <path class="chart-line" d={drawn.line} />}
        {drawn.marks.map((mark) => (
          <Whisker key={mark.point.round_id} mark={mark} />
        ))}
        {drawn.marks.map((mark) => (
          <Dot key={mark.point.round_id} x={mark.x} y={mark.y} kind={mark.point.kind} r={dense ? 2 : 3.6} />
        ))}
      </svg>
      <figcaption class="chart-key small soft">
        {kinds.map((kind) => (
          <span key={kind}>
            <KeyDot kind={kind} /> {t(`findings.key_${kind}`)}
          </span>
        ))}
        <span>
          <svg viewBox="0 0 12 12" class="key-mark" aria-hidden="true" focusable="false">
            <path class="chart-whisker" d="M6 1v10M3 1h6M3 11h6" />
          </svg>{' '}
          {t('findings.key_interval')}
        </span>
        {drawn.treatments.length > 0 && (
          <span>
            <svg viewBox="0 0 12 12" class="key-mark" aria-hidden="true" focusable="false">
              <path class="chart-treatment" d="M6 6v6M2 1h8l-4 6z" />
            </svg>{' '}
            {t('findings.key_treatment')}
          </span>
        )}
      </figcaption>
    </figure>
  );
}

function Axis({ drawn, today }: { drawn: Drawing; today: string }) {
  return (
    <g>
      {drawn.ticks.map((tick) => (
        <g key={tick.value}>
          <path class="chart-grid" d={`M${CHART.left} ${tick.y}H${CHART.width - CHART.right}`} />
          <text class="chart-words" x={CHART.left - 6} y={tick.y + 4} text-anchor="end">
            {tick.value}
          </text>
        </g>
      ))}
      {drawn.days.map((day) => (
        <text key={day.day} class="chart-words" x={day.x} y={CHART.height - 8} text-anchor={day.anchor}>
          {dayWords(day.day, today)}
        </text>
      ))}
    </g>
  );
}

function Whisker({ mark }: { mark: Mark }) {
  const foot = `M${mark.x - 3} ${mark.y_low}h6`;
  const head = mark.open ? `M${mark.x - 3} ${mark.y_high + 4}l3 -4l3 4` : `M${mark.x - 3} ${mark.y_high}h6`;
  return (
    <path
      class={`chart-whisker whisker-${mark.point.kind}`}
      d={`M${mark.x} ${mark.y_low}V${mark.y_high}${foot}${head}`}
    />
  );
}

/** Round: valid. Open square: not valid. Diamond: waits to be settled. */
function Dot({ x, y, kind, r }: { x: number; y: number; kind: PointKind; r: number }) {
  if (kind === 'valid') return <circle class="chart-dot" cx={x} cy={y} r={r} />;
  if (kind === 'not_valid') {
    return <rect class="chart-hollow" x={x - r} y={y - r} width={2 * r} height={2 * r} />;
  }
  const h = r + 1.4;
  return <path class="chart-diamond" d={`M${x} ${y - h}l${h} ${h}l-${h} ${h}l-${h} -${h}z`} />;
}

function KeyDot({ kind }: { kind: PointKind }) {
  return (
    <svg viewBox="0 0 12 12" class="key-mark" aria-hidden="true" focusable="false">
      <Dot x={6} y={6} kind={kind} r={3.6} />
    </svg>
  );
}
