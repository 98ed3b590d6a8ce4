/** Beds under each other: by slugs under their boards, and by wireworms in their traps. Pure. */
import type { Numbers } from '../../parts/chart/numbers';
import type { PictureRow, RowsPicture } from '../../parts/chart/picture';
import { decimals, t } from '../../text';
import type { WormBed } from '../plot/sketch/week_ground';
import type { BedRank } from './bed_ranks';
import { limitWords } from './pressure_picture';

const LEGEND = () =>
  [
    { label: t('findings.key_mean'), tone: 'ink', shape: 'circle' },
    { label: t('findings.key_interval'), tone: 'soft', sample: 'line' },
  ] as const;

/** One wild upper limit may not squeeze the rest: its span then has an open end. */
function endOf(rows: readonly { mean: number; high: number | null }[]): number {
  const highest = Math.max(0, ...rows.map((row) => row.mean));
  const reach = Math.max(0, ...rows.map((row) => row.high ?? row.mean));
  return Math.min(reach, Math.max(highest * 2.5, 1));
}

function rowOf(
  label: string,
  mean: number,
  low: number | null,
  high: number | null,
  places: number,
): PictureRow {
  const value =
    low === null ? decimals(mean, places) : `${decimals(mean, places)} (${limitWords(low, high, places)})`;
  return {
    ...{ label, value, marks: [{ at: mean, shape: 'circle', tone: 'ink' }] },
    spans: low === null ? [] : [{ from: low, to: high, tone: 'soft' }],
  };
}

export function bedPicture(ranks: readonly BedRank[], label: ReadonlyMap<string, string>): RowsPicture {
  return {
    ...{ kind: 'rows', name: 'slug-beds', title: t('findings.beds'), axis: t('findings.axis'), x: 'number' },
    whole: { from: 0, to: endOf(ranks) },
    rows: ranks.map((bed) => rowOf(label.get(bed.place_id) ?? '', bed.mean, bed.low, bed.high, 1)),
    legend: LEGEND(),
  };
}

export function bedNumbers(ranks: readonly BedRank[], label: ReadonlyMap<string, string>): Numbers {
  return {
    columns: [
      { file: 'bed', head: t('findings.col_bed') },
      { file: 'boards', head: t('findings.col_boards') },
      { file: 'turns_counted' },
      { file: 'turns_none_found', head: t('findings.col_none') },
      { file: 'turns_not_turned' },
      { file: 'turns_spoiled' },
      { file: 'turns_no_record' },
      { file: 'turns_to_settle' },
      { file: 'slugs_in_all' },
      { file: 'mean_slugs_per_board', head: t('findings.col_mean'), places: 1 },
      { file: 'limits', head: t('findings.col_interval'), only_shown: true },
      { file: 'low_95_percent_slugs_per_board' },
      { file: 'high_95_percent_slugs_per_board' },
    ],
    rows: ranks.map((bed) => [
      ...[
        label.get(bed.place_id) ?? '',
        bed.n_boards,
        bed.n_counted,
        bed.n_none,
        bed.n_not_turned,
        bed.n_spoiled,
      ],
      ...[
        bed.n_no_record,
        bed.n_disputed,
        bed.total,
        bed.mean,
        limitWords(bed.low, bed.high),
        bed.low,
        bed.high,
      ],
    ]),
  };
}

export interface RankedWorms {
  place_id: string;
  bed: WormBed;
}

/** Lowest upper limit first: the safest bed to put potatoes in, as far as the traps can tell. */
export function rankedWorms(beds: ReadonlyMap<string, WormBed>): RankedWorms[] {
  return [...beds]
    .map(([place_id, bed]) => ({ place_id, bed }))
    .sort((a, b) => (a.bed.rank ?? 999) - (b.bed.rank ?? 999) || (a.place_id < b.place_id ? -1 : 1));
}

export function wormPicture(worms: readonly RankedWorms[], label: ReadonlyMap<string, string>): RowsPicture {
  const told = worms.flatMap(({ place_id, bed }) => {
    const { per_trap, low, high } = bed.summary;
    return per_trap === null ? [] : [{ place_id, mean: per_trap, low, high }];
  });
  return {
    ...{
      kind: 'rows',
      name: 'wireworm-beds',
      title: t('findings.worms'),
      axis: t('findings.axis_trap'),
      x: 'number',
    },
    whole: { from: 0, to: endOf(told) },
    rows: told.map(({ place_id, mean, low, high }) => rowOf(label.get(place_id) ?? '', mean, low, high, 2)),
    legend: LEGEND(),
  };
}

export function wormNumbers(worms: readonly RankedWorms[], label: ReadonlyMap<string, string>): Numbers {
  return {
    columns: [
      { file: 'bed', head: t('findings.col_bed') },
      { file: 'valid_trap_lifts', head: t('findings.col_lifts') },
      { file: 'wireworms', head: t('findings.col_worms') },
      { file: 'wireworms_per_trap', head: t('findings.col_per_trap'), places: 2 },
      { file: 'limits', head: t('findings.col_interval'), only_shown: true },
      { file: 'low_95_percent_wireworms_per_trap' },
      { file: 'high_95_percent_wireworms_per_trap' },
      { file: 'wireworms_per_acre_by_rule_of_thumb' },
      {
        file: 'chance_percent_that_all_traps_missed_a_light_presence',
        head: t('findings.col_miss'),
        places: 0,
      },
      { file: 'lifts_left_out', head: t('findings.col_left_out') },
    ],
    rows: worms.map(({ place_id, bed: { summary } }) => [
      ...[
        label.get(place_id) ?? '',
        summary.n_traps,
        summary.n_traps === 0 ? null : summary.caught,
        summary.per_trap,
      ],
      ...[limitWords(summary.low, summary.high, 2), summary.low, summary.high, summary.per_acre],
      ...[summary.miss === undefined ? null : 100 * summary.miss, summary.left_out.length + summary.disputed],
    ]),
  };
}
