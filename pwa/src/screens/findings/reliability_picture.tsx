import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import { t } from '../../text';
import { chanceWords } from '../warnings/numbers';
import { type Bin, binsOf, FEW, onTheWhole, type Spot, SQUARE, spotsOf, xOf, yOf } from './reliability';
import type { Chances } from './replay';
import { percent, span } from './shares';

const TICKS = [0, 0.25, 0.5, 0.75, 1];

/** Did it come as often as the chances said? On the line it did; the numbers stand in the table below. */
export function ReliabilityPicture({ reliability }: { reliability: readonly Chances[] }) {
  const title = useId();
  const bins = binsOf(reliability);
  const spots = spotsOf(bins);
  const few = bins.filter((bin) => bin.few).length;
  return (
    <>
      <h3 class="findings-part">{t('findings.rel_title')}</h3>
      <p>{sentence(bins)}</p>
      <figure class="chart">
        <p class="soft small">{t('findings.rel_axis_y')}</p>
        <svg
          class="chart-sheet chart-square"
          viewBox={`0 0 ${SQUARE.size} ${SQUARE.size}`}
          role="img"
          aria-labelledby={title}
        >
          <title id={title}>{t('findings.rel_label')}</title>
          <Frame />
          <path class="chart-even" d={`M${xOf(0)} ${yOf(0)}L${xOf(1)} ${yOf(1)}`} />
          {spots.map((spot) => (
            <Whisker key={spot.bin.from} spot={spot} />
          ))}
          {spots.map(({ bin, x, y, r }) => (
            <circle key={bin.from} class={bin.few ? 'chart-hollow' : 'chart-dot'} cx={x} cy={y} r={r} />
          ))}
        </svg>
        <figcaption class="chart-key small soft">
          <span>
            <Key>
              <path class="chart-even" d="M1 11L11 1" />
            </Key>{' '}
            {t('findings.rel_key_even')}
          </span>
          <span>
            <Key>
              <circle class="chart-dot" cx="6" cy="6" r="4.5" />
            </Key>{' '}
            {t('findings.rel_key_dot')}
          </span>
          {few > 0 && (
            <span>
              <Key>
                <circle class="chart-hollow" cx="6" cy="6" r="2.5" />
              </Key>{' '}
              {t('findings.rel_key_few', { few: FEW })}
            </span>
          )}
          <span>
            <Key>
              <path class="chart-whisker" d="M6 1v10M3 1h6M3 11h6" />
            </Key>{' '}
            {t('findings.key_interval')}
          </span>
        </figcaption>
      </figure>
      {few > 0 && <p class="small">{t('findings.rel_few', { few, bins: bins.length, least: FEW })}</p>}
      <Table bins={bins} />
    </>
  );
}

function sentence(bins: readonly Bin[]): string {
  const all = onTheWhole(bins);
  if (!all) return '';
  return t(`findings.rel_${all.verdict}`, {
    said: percent(all.said),
    came: all.came,
    n: all.n,
    share: percent(all.share),
    span: span(all.low, all.high),
  });
}

function Frame() {
  const [left, right, foot] = [xOf(0), xOf(1), yOf(0)];
  return (
    <g>
      {TICKS.map((tick) => (
        <g key={tick}>
          <path class="chart-grid" d={`M${left} ${yOf(tick)}H${right}`} />
          <text class="chart-words" x={left - 6} y={yOf(tick) + 4} text-anchor="end">
            {percent(tick)}
          </text>
          <text
            class="chart-words"
            x={xOf(tick)}
            y={foot + 16}
            text-anchor={tick === 0 ? 'start' : tick === 1 ? 'end' : 'middle'}
          >
            {percent(tick)}
          </text>
        </g>
      ))}
      <text class="chart-words" x={(left + right) / 2} y={foot + 34} text-anchor="middle">
        {t('findings.rel_axis_x')}
      </text>
    </g>
  );
}

function Whisker({ spot }: { spot: Spot }) {
  const { x, y_low, y_high } = spot;
  return (
    <path
      class={spot.bin.few ? 'chart-whisker whisker-few' : 'chart-whisker'}
      d={`M${x} ${y_low}V${y_high}M${x - 3} ${y_low}h6M${x - 3} ${y_high}h6`}
    />
  );
}

function Key({ children }: { children: ComponentChildren }) {
  return (
    <svg viewBox="0 0 12 12" class="key-mark" aria-hidden="true" focusable="false">
      {children}
    </svg>
  );
}

function Table({ bins }: { bins: readonly Bin[] }) {
  return (
    <div class="table-frame">
      <table class="findings-table figures">
        <thead>
          <tr>
            <th scope="col">{t('findings.rel_col_said')}</th>
            <th scope="col">{t('findings.rel_col_n')}</th>
            <th scope="col">{t('findings.rel_col_came')}</th>
            <th scope="col">{t('findings.col_interval')}</th>
          </tr>
        </thead>
        <tbody>
          {bins.map((bin) => (
            <tr key={bin.from} class={bin.few ? 'row-doubtful' : ''}>
              <th scope="row">
                {chanceWords(bin.mean_p)}
                {bin.few && <span class="row-standing">{t('findings.rel_row_few')}</span>}
              </th>
              <td>{bin.n}</td>
              <td>
                {bin.came} ({percent(bin.observed)})
              </td>
              <td>{span(bin.low, bin.high)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
