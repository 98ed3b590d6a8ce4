import { useId } from 'preact/hooks';
import { niceAxis } from '../../parts/chart/axis';
import { useLive, type View } from '../../storage';
import { decimals, t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { type CountFacts, countFactsOf } from './counts';

const SHEET = { width: 360, height: 200, left: 34, right: 64, top: 14, bottom: 28 } as const;

/** The last rounds as bars, like planks stood on end, with the usual and the limit across them. */
export function CountPicture({ view, facts }: { view: View<'warning'>; facts: PlotFacts }) {
  const counted = useLive(
    () => countFactsOf(view, facts),
    ['round', 'slug_count', 'station'],
    [view.id, view.rev, view.body.updated_at],
  );
  if (!counted || counted.bars.length === 0) return null;
  const today = localDay(new Date(), facts.time_zone);
  const last = counted.bars.findLast((bar) => bar.warned) ?? counted.bars.at(-1);
  return (
    <figure class="night-figure">
      <p class="soft small">{t('warnings.count_axis')}</p>
      <Bars counted={counted} today={today} />
      <figcaption>
        {last &&
          t(counted.together > 1 ? 'warnings.count_says_together' : 'warnings.count_says', {
            day: dayWords(last.day, today),
            rounds: counted.together,
            n: counted.slugs,
            usual: decimals(counted.usual, 0),
            limit: decimals(counted.limit, 0),
          })}
      </figcaption>
      <Rounds counted={counted} today={today} />
    </figure>
  );
}

function Bars({ counted, today }: { counted: CountFacts; today: string }) {
  const title = useId();
  const base = SHEET.height - SHEET.bottom;
  // Of rounds judged together the picture has a round's share of the usual; the limit is the newest round's.
  const usual = counted.usual / counted.together;
  const { limit } = counted;
  const axis = niceAxis(0, Math.max(limit * 1.15, ...counted.bars.map(({ slugs }) => slugs)), 4);
  const y = (value: number): number => base - (value / axis.high) * (base - SHEET.top);
  const room = SHEET.width - SHEET.left - SHEET.right;
  const step = room / counted.bars.length;
  const width = Math.min(22, step * 0.7);
  const [first, last] = [counted.bars[0], counted.bars.at(-1)];
  const usualAt = y(usual);
  const limitAt = Math.min(y(limit), usualAt - 14);
  return (
    <svg
      class="night-sheet"
      viewBox={`0 0 ${SHEET.width} ${SHEET.height}`}
      role="img"
      aria-labelledby={title}
    >
      <title id={title}>{t('warnings.count_title')}</title>
      {axis.ticks.map((value) => (
        <g key={value}>
          <path class="night-grid" d={`M${SHEET.left} ${y(value)}H${SHEET.width - SHEET.right}`} />
          <text class="night-words" x={SHEET.left - 6} y={y(value) + 4} text-anchor="end">
            {value}
          </text>
        </g>
      ))}
      {counted.bars.map((bar, i) => (
        <rect
          key={bar.round_id}
          class={bar.warned ? 'count-bar count-bar-now' : 'count-bar'}
          x={SHEET.left + i * step + (step - width) / 2}
          y={y(bar.slugs)}
          width={width}
          height={Math.max(1, base - y(bar.slugs))}
          rx="2"
        />
      ))}
      <path class="count-usual" d={`M${SHEET.left} ${usualAt}H${SHEET.width - SHEET.right + 4}`} />
      <text class="night-words" x={SHEET.width - SHEET.right + 8} y={usualAt + 4}>
        {t('warnings.count_usual', { n: decimals(usual, 0) })}
      </text>
      <path class="night-harm" d={`M${SHEET.left} ${y(limit)}H${SHEET.width - SHEET.right + 4}`} />
      <text class="night-words count-limit" x={SHEET.width - SHEET.right + 8} y={limitAt + 4}>
        {t('warnings.count_limit', { n: decimals(limit, 0) })}
      </text>
      {first && (
        <text class="night-words" x={SHEET.left} y={SHEET.height - 8}>
          {dayWords(first.day, today)}
        </text>
      )}
      {last && last !== first && (
        <text class="night-words" x={SHEET.width - SHEET.right} y={SHEET.height - 8} text-anchor="end">
          {dayWords(last.day, today)}
        </text>
      )}
    </svg>
  );
}

function Rounds({ counted, today }: { counted: CountFacts; today: string }) {
  return (
    <details class="fold">
      <summary>{t('warnings.count_table')}</summary>
      <div class="table-frame">
        <table class="warning-table figures">
          <thead>
            <tr>
              <th scope="col">{t('warnings.col_round')}</th>
              <th scope="col">{t('warnings.col_slugs')}</th>
              <th scope="col">{t('warnings.col_boards')}</th>
            </tr>
          </thead>
          <tbody>
            {[...counted.bars].reverse().map((bar) => (
              <tr key={bar.round_id}>
                <th scope="row">{dayWords(bar.day, today)}</th>
                <td>{bar.slugs}</td>
                <td>{bar.boards}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}
