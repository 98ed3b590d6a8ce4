/** One season over another as a picture and as numbers. Pure. */
import type { Numbers } from '../../parts/chart/numbers';
import type { Layer, TimePicture } from '../../parts/chart/picture';
import { t } from '../../text';
import { YEAR_BEGIN, YEAR_END } from './season_days';
import { type SeasonWeek, usualBand } from './seasons';

const DAY = 86_400_000;
const GAP = 28 * DAY;

/** `other`: the year to compare with. All further years stand behind as a band. */
export function seasonPicture(
  weeks: ReadonlyMap<number, readonly SeasonWeek[]>,
  year: number,
  other: number | undefined,
): TimePicture {
  const band = usualBand(weeks, [year, ...(other === undefined ? [] : [other])]);
  const [one, two] = [weeks.get(year) ?? [], other === undefined ? [] : (weeks.get(other) ?? [])];
  const shown = [...one, ...two];
  const days = [...shown.map((week) => week.at), ...band.map((week) => week.at)];
  const from = Math.max(YEAR_BEGIN, Math.min(...days, YEAR_END) - 7 * DAY);
  const to = Math.min(YEAR_END, Math.max(...days, YEAR_BEGIN) + 7 * DAY);
  const lineOf = (of: readonly SeasonWeek[], label: string, own: boolean): Layer[] => {
    if (of.length === 0) return [];
    const [x, y] = [of.map((week) => week.at), of.map((week) => week.mean)];
    const dash = own ? {} : { dash: [7, 4] };
    return [
      {
        kind: 'line',
        label: own ? label : '',
        x,
        y,
        tone: own ? 'ink' : 'glow',
        width: own ? 2.6 : 2,
        gap: GAP,
        ...dash,
      },
      {
        kind: 'dots',
        label: own ? '' : label,
        x,
        y,
        shape: own ? 'circle' : 'diamond',
        tone: own ? 'ink' : 'glow',
        hollow: !own,
      },
    ];
  };
  return {
    ...{
      kind: 'time',
      name: 'slug-seasons',
      title: t('findings.seasons'),
      axis: t('findings.axis_week'),
      x: 'season',
    },
    ...{ whole: { from, to: Math.max(to, from + 7 * DAY) }, low: 0 },
    high: Math.max(1, ...shown.map((week) => week.mean), ...band.map((week) => week.high)),
    layers: [
      ...behind(band),
      ...(other === undefined ? [] : lineOf(two, String(other), false)),
      ...lineOf(one, String(year), true),
    ],
  };
}

function behind(band: ReturnType<typeof usualBand>): Layer[] {
  if (band.length === 0) return [];
  const limits = { x: band.map((w) => w.at), low: band.map((w) => w.low), high: band.map((w) => w.high) };
  return [{ kind: 'band', label: t('findings.key_other_years'), tone: 'plank', gap: GAP, ...limits }];
}

/** A row for each week of each year, newest first. */
export function seasonNumbers(weeks: ReadonlyMap<number, readonly SeasonWeek[]>): Numbers {
  const rows = [...weeks].reverse().flatMap(([year, of]) =>
    [...of].reverse().map((week) => {
      const day = `${year}-${new Date(week.at).toISOString().slice(5, 10)}`;
      return [day, week.n_rounds, week.n_boards, week.mean, week.least, week.most];
    }),
  );
  return {
    columns: [
      { file: 'middle_day_of_week', head: t('findings.col_week'), day: true },
      { file: 'valid_rounds', head: t('findings.col_rounds') },
      { file: 'turned_boards_with_a_number' },
      { file: 'mean_slugs_per_board', head: t('findings.col_mean'), places: 1 },
      { file: 'lowest_round_slugs_per_board', head: t('findings.col_least'), places: 1 },
      { file: 'highest_round_slugs_per_board', head: t('findings.col_most'), places: 1 },
    ],
    rows,
  };
}
