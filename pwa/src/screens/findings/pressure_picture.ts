/** The pressure of slugs as a picture and as numbers. Pure. */
import type { Column, Numbers } from '../../parts/chart/numbers';
import type { Layer, TimePicture } from '../../parts/chart/picture';
import { decimals, t } from '../../text';
import type { Mark } from './load';
import type { Point, PointKind } from './model';
import { dayMs } from './season_days';

const DAY = 86_400_000;
/** Rounds farther apart are not joined: nobody knows what was between. */
const GAP = 45 * DAY;
/** From so many rounds on whiskers would hide one another: a band then. */
const MANY = 24;

const SHAPES = { valid: 'circle', not_valid: 'square', disputed: 'diamond' } as const;

/** The scale follows means and intervals, but one wild interval may not flatten the rest. */
export function topOf(points: readonly Point[]): number {
  const highest = Math.max(0, ...points.map((point) => point.mean));
  const reach = Math.max(0, ...points.map((point) => point.high ?? point.mean));
  return Math.min(reach, Math.max(highest * 2.5, 1));
}

export function pressurePicture(
  points: readonly Point[],
  treatments: readonly Mark[],
  frosts: readonly string[],
): TimePicture {
  const days = points.map((point) => dayMs(point.day));
  const [first, last] = [days[0] ?? 0, days.at(-1) ?? 0];
  const whole = { from: first - DAY, to: Math.max(last + DAY, first + 7 * DAY) };
  const inside = (at: number): boolean => at >= whole.from && at <= whole.to;
  const valid = points.filter((point) => point.kind === 'valid');
  const of = (kind: PointKind): Layer[] => {
    const found = points.filter((point) => point.kind === kind);
    if (found.length === 0) return [];
    const x = found.map((point) => dayMs(point.day));
    const y = found.map((point) => point.mean);
    const tone = kind === 'disputed' ? 'bad' : 'ink';
    return [
      {
        ...{ kind: 'dots', label: t(`findings.key_${kind}`), x, y, shape: SHAPES[kind], tone },
        ...(kind === 'not_valid' ? { hollow: true } : {}),
      },
    ];
  };
  const limitsOf = (found: readonly Point[]) => ({
    x: found.map((point) => dayMs(point.day)),
    low: found.map((point) => point.low),
    high: found.map((point) => point.high),
  });
  const whiskersOf = (found: readonly Point[]): Layer[] =>
    found.length > 0 && found.length <= MANY ? [{ kind: 'whiskers', ...limitsOf(found), tone: 'soft' }] : [];
  const limits = limitsOf(valid);
  const doubtful = points.filter((point) => point.kind !== 'valid');
  const treated = [...new Set(treatments.map((mark) => dayMs(mark.day)))]
    .filter(inside)
    .sort((a, b) => a - b);
  const frozen = frosts.map(dayMs).filter(inside);
  return {
    ...{
      kind: 'time',
      name: 'slug-pressure',
      title: t('findings.pressure'),
      axis: t('findings.axis'),
      x: 'day',
    },
    ...{ whole, low: 0, high: topOf(points) },
    layers: [
      { kind: 'band', label: t('findings.key_interval'), ...limits, tone: 'plank', gap: GAP },
      ...whiskersOf(valid),
      ...whiskersOf(doubtful),
      { kind: 'line', x: limits.x, y: valid.map((point) => point.mean), tone: 'soft', width: 1.6, gap: GAP },
      ...of('not_valid'),
      ...of('disputed'),
      ...of('valid'),
      ...(treated.length > 0
        ? [
            {
              kind: 'flags',
              label: t('findings.key_treatment'),
              x: treated,
              shape: 'triangle',
              tone: 'good',
            } as const,
          ]
        : []),
      ...(frozen.length > 0
        ? [{ kind: 'flags', label: t('findings.key_frost'), x: frozen, shape: 'star', tone: 'glow' } as const]
        : []),
    ],
  };
}

export function standingWords(point: Point): string {
  const missed = [
    ...(point.n_not_turned > 0 ? [t('findings.missed_not_turned', { n: point.n_not_turned })] : []),
    ...(point.n_spoiled > 0 ? [t('findings.missed_spoiled', { n: point.n_spoiled })] : []),
    ...(point.n_no_record ? [t('findings.missed_no_record', { n: point.n_no_record })] : []),
    ...(point.n_kept > 0 ? [t('findings.kept_both', { n: point.n_kept })] : []),
  ];
  return [kindWords(point), ...missed].join(', ');
}

function kindWords(point: Point): string {
  if (point.kind === 'valid') return t('findings.standing_valid');
  if (point.kind === 'not_valid')
    return point.why_not
      ? t('findings.standing_not_valid_why', { why: point.why_not })
      : t('findings.standing_not_valid');
  return point.n_disputed > 0
    ? t('findings.standing_disputed', { n: point.n_disputed })
    : t('findings.standing_disputed_round');
}

/** "1.2–3.4", "1.2 and up", "–". */
export function limitWords(low: number | null, high: number | null, places = 1): string {
  if (low === null) return '–';
  if (high === null) return t('findings.open_end', { low: decimals(low, places) });
  return `${decimals(low, places)}–${decimals(high, places)}`;
}

type Head = 'col_day' | 'col_standing' | 'col_boards' | 'col_mean' | 'col_interval';
const COLUMNS: readonly (Omit<Column, 'head'> & { head?: Head })[] = [
  { file: 'day', head: 'col_day', day: true },
  { file: 'standing', head: 'col_standing' },
  { file: 'boards_with_a_number', head: 'col_boards' },
  { file: 'boards_none_found' },
  { file: 'boards_not_turned' },
  { file: 'boards_spoiled' },
  { file: 'boards_no_record' },
  { file: 'boards_to_settle' },
  { file: 'boards_counted_twice_and_kept' },
  { file: 'slugs_in_all' },
  { file: 'mean_slugs_per_board', head: 'col_mean', places: 1 },
  { file: 'limits', head: 'col_interval', only_shown: true },
  { file: 'low_95_percent_slugs_per_board' },
  { file: 'high_95_percent_slugs_per_board' },
  { file: 'law_of_the_limits' },
];

/** Newest first. What only the file has: each state of a board in a column of its own. */
export function pressureNumbers(points: readonly Point[]): Numbers {
  const newestFirst = [...points].reverse();
  return {
    columns: COLUMNS.map(
      ({ head, ...column }): Column => ({ ...column, ...(head ? { head: t(`findings.${head}`) } : {}) }),
    ),
    rows: newestFirst.map((point) => [
      ...[point.day, standingWords(point), point.n, point.n_none, point.n_not_turned, point.n_spoiled],
      ...[point.n_no_record, point.n_disputed, point.n_kept, point.total, point.mean],
      ...[limitWords(point.low, point.high), point.low, point.high, point.model],
    ]),
    doubtful: new Set(newestFirst.flatMap((point, i) => (point.kind === 'valid' ? [] : [i]))),
  };
}
