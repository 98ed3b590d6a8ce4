import { useId } from 'preact/hooks';
import { t } from '../../text';
import { localClock } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { inUnit } from '../readings/model';
import {
  crossing,
  NIGHT,
  type NightDrawing,
  type NightFacts,
  nightDrawing,
  nightRows,
} from './night_drawing';
import { degreeWords } from './numbers';

type Props = { night: NightFacts; facts: PlotFacts };

/** The night as a falling line with its band, the line of harm across it; the same in a sentence and a table. */
export function NightPicture({ night, facts }: Props) {
  const title = useId();
  const drawn = nightDrawing(night, (c) => inUnit({ value: c, unit: 'degC' }, facts.unit));
  if (!drawn) return null;
  return (
    <figure class="night-figure">
      <p class="soft small">{t('warnings.night_axis', { unit: t(`forms.unit_${facts.unit}`) })}</p>
      <svg
        class="night-sheet"
        viewBox={`0 0 ${NIGHT.width} ${NIGHT.height}`}
        role="img"
        aria-labelledby={title}
      >
        <title id={title}>{t('warnings.night_title')}</title>
        <Frame drawn={drawn} facts={facts} />
        {drawn.band && <path class="night-band" d={drawn.band} />}
        <path class="night-harm" d={`M${NIGHT.left} ${drawn.line_y}H${NIGHT.width - NIGHT.right}`} />
        <path class="night-air" d={drawn.line} />
        {drawn.crossing && <circle class="night-cross" cx={drawn.crossing.x} cy={drawn.line_y} r="5" />}
      </svg>
      <Key banded={drawn.band !== ''} />
      <figcaption>{sentence(night, facts)}</figcaption>
      <Hours night={night} facts={facts} />
    </figure>
  );
}

function Frame({ drawn, facts }: { drawn: NightDrawing; facts: PlotFacts }) {
  const base = NIGHT.height - NIGHT.bottom;
  return (
    <g>
      {drawn.degrees.map(({ value, y }) => (
        <g key={value}>
          <path class="night-grid" d={`M${NIGHT.left} ${y}H${NIGHT.width - NIGHT.right}`} />
          <text class="night-words" x={NIGHT.left - 6} y={y + 4} text-anchor="end">
            {String(value).replace('-', '\u2212')}
          </text>
        </g>
      ))}
      {drawn.hours.map(({ at, x, anchor }) => (
        <g key={at}>
          <path class="night-tick" d={`M${x} ${base}v5`} />
          <text class="night-words" x={x} y={base + 18} text-anchor={anchor}>
            {localClock(new Date(at), facts.time_zone)}
          </text>
        </g>
      ))}
    </g>
  );
}

function Key({ banded }: { banded: boolean }) {
  return (
    <p class="night-key soft small">
      <span>
        <svg viewBox="0 0 24 12" class="night-mark" aria-hidden="true" focusable="false">
          <path class="night-air" d="M1 3q12 0 22 7" />
        </svg>
        {t('warnings.night_key_air')}
      </span>
      {banded && (
        <span>
          <svg viewBox="0 0 24 12" class="night-mark" aria-hidden="true" focusable="false">
            <rect class="night-band" x="1" y="1" width="22" height="10" />
          </svg>
          {t('warnings.night_key_band')}
        </span>
      )}
      <span>
        <svg viewBox="0 0 24 12" class="night-mark" aria-hidden="true" focusable="false">
          <path class="night-harm" d="M1 6h22" />
        </svg>
        {t('warnings.night_key_line')}
      </span>
    </p>
  );
}

/** What the picture shows, in two sentences. */
function sentence(night: NightFacts, facts: PlotFacts): string {
  const degrees = (c: number): string => degreeWords(c, facts.unit);
  const sunrise = localClock(new Date(night.sunrise), facts.time_zone);
  const line = degrees(night.line_c);
  const first =
    night.low_c === null || night.high_c === null
      ? t('warnings.night_says_bare', { min: degrees(night.min_c), sunrise })
      : t('warnings.night_says', {
          min: degrees(night.min_c),
          low: degrees(night.low_c),
          high: degrees(night.high_c),
          sunrise,
        });
  const at = crossing(night);
  if (at !== null)
    return `${first} ${t('warnings.night_crosses', { line, clock: localClock(new Date(at), facts.time_zone) })}`;
  if (night.evening_c <= night.line_c) return `${first} ${t('warnings.night_below', { line })}`;
  const safe = night.low_c !== null && night.low_c > night.line_c;
  return `${first} ${t(safe ? 'warnings.night_stays_all' : 'warnings.night_stays', { line })}`;
}

function Hours({ night, facts }: Props) {
  return (
    <details class="fold">
      <summary>{t('warnings.night_table')}</summary>
      <div class="table-frame">
        <table class="warning-table figures">
          <thead>
            <tr>
              <th scope="col">{t('warnings.col_hour')}</th>
              <th scope="col">{t('warnings.col_air')}</th>
              <th scope="col">{t('warnings.col_range')}</th>
            </tr>
          </thead>
          <tbody>
            {nightRows(night).map((row) => (
              <tr key={row.at}>
                <th scope="row">{localClock(new Date(row.at), facts.time_zone)}</th>
                <td>{degreeWords(row.air_c, facts.unit)}</td>
                <td>
                  {row.low_c === null || row.high_c === null
                    ? '–'
                    : t('warnings.to', {
                        low: degreeWords(row.low_c, facts.unit),
                        high: degreeWords(row.high_c, facts.unit),
                      })}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}
