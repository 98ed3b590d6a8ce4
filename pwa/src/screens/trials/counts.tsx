import { Card } from '../../parts';
import { decimals, t } from '../../text';
import { daysBetween, dayWords } from '../forms/local_time';
import type { Story } from './load';
import type { RoundRow, Side, When } from './model';
import { SideMark } from './sides';
import { sideWords } from './words';

const meanOf = ({ total, n }: RoundRow[Side]): number | undefined => (n > 0 ? total / n : undefined);

/** What was counted so far on both sides: a picture, its sentence, and every round in a table. */
export function Counts({ story, today }: { story: Story; today: string }) {
  const { counted, standing } = story;
  const { rows, n_left_out } = counted;
  const of = (when: When) => rows.filter((row) => row.when === when);
  if (rows.length === 0) {
    return (
      <Card title={t('trials.counts')}>
        <p class="soft">{t('trials.counts_none')}</p>
      </Card>
    );
  }
  return (
    <Card title={t('trials.counts')}>
      <CountPicture rows={rows} treatOn={standing.treat_on} />
      <p>
        {t('trials.counts_before', sumWords(of('before')))} {t('trials.counts_after', sumWords(of('after')))}
      </p>
      {n_left_out > 0 && <p class="soft small">{t('trials.left_out', { n: n_left_out })}</p>}
      <details class="trial-rows">
        <summary>{t('trials.every_round', { n: rows.length })}</summary>
        <table>
          <thead>
            <tr>
              <th scope="col">{t('trials.col_round')}</th>
              <th scope="col">{sideWords('treated')}</th>
              <th scope="col">{sideWords('control')}</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.round_id}>
                <th scope="row">
                  {dayWords(row.day, today)}
                  <span class="soft small"> {t(`trials.when_${row.when}`)}</span>
                </th>
                {(['treated', 'control'] as const).map((side) => (
                  <td key={side}>{cellWords(row[side])}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
        <p class="soft small">{t('trials.cell_hint')}</p>
      </details>
    </Card>
  );
}

function cellWords(cell: RoundRow[Side]): string {
  const mean = meanOf(cell);
  return mean === undefined ? t('trials.none_turned') : t('trials.cell', { mean: decimals(mean), n: cell.n });
}

function sumWords(rows: readonly RoundRow[]): Record<string, string | number> {
  const mean = (side: Side) => {
    const n = rows.reduce((sum, row) => sum + row[side].n, 0);
    const total = rows.reduce((sum, row) => sum + row[side].total, 0);
    return n > 0 ? decimals(total / n) : '–';
  };
  return { n: rows.length, treated: mean('treated'), control: mean('control') };
}

const [WIDTH, HEIGHT, LEFT, RIGHT, TOP, FLOOR] = [320, 150, 30, 312, 12, 122];

/** Means a board by day: filled drops where treated, open planks where not; the treatment is the upright line. */
function CountPicture({ rows, treatOn }: { rows: readonly RoundRow[]; treatOn: string | undefined }) {
  const first = rows[0]?.day ?? '';
  const last = rows.at(-1)?.day ?? first;
  const from = treatOn && treatOn < first ? treatOn : first;
  const to = treatOn && treatOn > last ? treatOn : last;
  const days = Math.max(1, daysBetween(from, to));
  const top = Math.max(1, ...rows.flatMap((row) => [meanOf(row.treated) ?? 0, meanOf(row.control) ?? 0]));
  const x = (day: string) => LEFT + (daysBetween(from, day) / days) * (RIGHT - LEFT);
  const y = (mean: number) => FLOOR - (mean / top) * (FLOOR - TOP);
  const points = (side: Side) =>
    rows.flatMap((row) => {
      const mean = meanOf(row[side]);
      return mean === undefined ? [] : [{ id: row.round_id, x: x(row.day), y: y(mean) }];
    });
  const line = (side: Side) =>
    points(side)
      .map((point, i) => `${i === 0 ? 'M' : 'L'}${point.x.toFixed(1)} ${point.y.toFixed(1)}`)
      .join('');
  return (
    <figure class="trial-figure">
      <svg class="trial-picture" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true" focusable="false">
        <path class="trial-axis" d={`M${LEFT} ${TOP}V${FLOOR}H${RIGHT}`} />
        <text class="effect-label" x={LEFT - 4} y={TOP + 8} text-anchor="end">
          {decimals(top, top < 10 ? 1 : 0)}
        </text>
        <text class="effect-label" x={LEFT - 4} y={FLOOR} text-anchor="end">
          0
        </text>
        {treatOn && (
          <>
            <path class="trial-treat" d={`M${x(treatOn)} ${TOP - 8}V${FLOOR}`} />
            <text
              class="effect-label"
              x={Math.min(RIGHT - 40, Math.max(LEFT + 40, x(treatOn)))}
              y={FLOOR + 18}
              text-anchor="middle"
            >
              {t('trials.treated_mark')}
            </text>
          </>
        )}
        <path class="trial-line trial-line-control" d={line('control')} />
        <path class="trial-line trial-line-treated" d={line('treated')} />
        {points('control').map((point) => (
          <rect
            key={point.id}
            class="trial-dot-control"
            x={point.x - 4}
            y={point.y - 4}
            width="8"
            height="8"
          />
        ))}
        {points('treated').map((point) => (
          <circle key={point.id} class="trial-dot-treated" cx={point.x} cy={point.y} r="4.5" />
        ))}
      </svg>
      <figcaption class="trial-key small">
        <span>
          <SideMark side="treated" /> {t('trials.key_treated')}
        </span>
        <span>
          <SideMark side="control" /> {t('trials.key_control')}
        </span>
        <span class="soft">{t('trials.key_unit')}</span>
      </figcaption>
    </figure>
  );
}
