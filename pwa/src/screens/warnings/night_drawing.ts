/** Geometry of a night: the fall of the air from two hours after sunset to sunrise, with its band. Pure. */
import { nightCurve } from '../../agronomy';

export interface NightFacts {
  /** Air two hours after sunset [°C]. */
  evening_c: number;
  /** Lowest expected, and the interval of it [°C]. */
  min_c: number;
  low_c: number | null;
  high_c: number | null;
  /** Below this line it harms [°C]. */
  line_c: number;
  /** Epoch milliseconds. */
  sunset: number;
  sunrise: number;
}
export interface NightRow {
  at: number;
  air_c: number;
  low_c: number | null;
  high_c: number | null;
}

export const NIGHT = { width: 360, height: 210, left: 38, right: 12, top: 16, bottom: 34 } as const;
const HOUR = 3_600_000;
/** The curve starts two hours after sunset, when the evening is read. */
const START = 2;
const POINTS = 32;

export function nightRows(facts: NightFacts): NightRow[] {
  return rowsAt(facts, hoursOf(facts));
}

/** Points enough for a smooth line: closer where the fall is steep. */
function finely(facts: NightFacts): NightRow[] {
  const length = lengthOf(facts) - START;
  if (length <= 0) return [];
  return rowsAt(
    facts,
    Array.from({ length: POINTS + 1 }, (_, i) => START + length * (i / POINTS) ** 2),
  );
}

function rowsAt(facts: NightFacts, hours: number[]): NightRow[] {
  const line = curve(facts, facts.min_c, hours);
  const low = facts.low_c === null ? null : curve(facts, facts.low_c, hours);
  const high = facts.high_c === null ? null : curve(facts, facts.high_c, hours);
  return hours.map((hour, i) => ({
    at: facts.sunset + hour * HOUR,
    air_c: line[i] ?? facts.min_c,
    low_c: low?.[i] ?? null,
    high_c: high?.[i] ?? null,
  }));
}

/** When the expected curve comes down to the line, epoch milliseconds; null when it does not. */
export function crossing(facts: NightFacts): number | null {
  const { evening_c, min_c, line_c } = facts;
  if (min_c > evening_c || lengthOf(facts) <= START) return null;
  const { crosses_at_hour } = nightCurve({
    evening_c,
    min_c,
    night_hours: lengthOf(facts),
    critical_c: line_c,
  });
  return crosses_at_hour === null ? null : facts.sunset + crosses_at_hour * HOUR;
}

function lengthOf({ sunset, sunrise }: NightFacts): number {
  return Math.min(24, (sunrise - sunset) / HOUR);
}

/** Every full hour from the start of the curve, and sunrise. */
function hoursOf(facts: NightFacts): number[] {
  const end = lengthOf(facts);
  if (end <= START) return [];
  const hours: number[] = [];
  for (let hour = START; hour < end - 0.25; hour += 1) hours.push(hour);
  return [...hours, end];
}

/** A warm end of the interval may lie above the evening: then it simply does not get colder. */
function curve(facts: NightFacts, min_c: number, hours: number[]): number[] {
  const { evening_c } = facts;
  if (min_c >= evening_c || hours.length === 0) return hours.map(() => evening_c);
  const { points } = nightCurve({ evening_c, min_c, night_hours: lengthOf(facts), hours });
  return points.map(({ air_c }) => air_c ?? min_c);
}

export interface NightDrawing {
  line: string;
  band: string;
  line_y: number;
  crossing: { x: number; at: number } | null;
  degrees: { value: number; y: number }[];
  hours: { at: number; x: number; anchor: 'start' | 'middle' | 'end' }[];
  end: { x: number; y: number; y_low: number; y_high: number };
}

/** `shown`: the temperature as the plot reads it, so that the axis has round figures in its own unit. */
export function nightDrawing(
  facts: NightFacts,
  shown: (celsius: number) => number = (c) => c,
): NightDrawing | null {
  const rows = finely(facts);
  const last = rows.at(-1);
  if (!last) return null;
  const values = rows.flatMap((row) => [row.air_c, row.low_c ?? row.air_c, row.high_c ?? row.air_c]);
  const scale = axis([...values, facts.line_c].map(shown));
  const base = NIGHT.height - NIGHT.bottom;
  const xOf = (at: number): number =>
    NIGHT.left +
    ((at - facts.sunset) / (facts.sunrise - facts.sunset)) * (NIGHT.width - NIGHT.left - NIGHT.right);
  const yShown = (value: number): number =>
    base - ((value - scale.low) / (scale.high - scale.low)) * (base - NIGHT.top);
  const yOf = (celsius: number): number => yShown(shown(celsius));
  const path = (of: (row: NightRow) => number, all = rows): string =>
    all.map((row) => `${xOf(row.at).toFixed(1)} ${yOf(of(row)).toFixed(1)}`).join('L');
  const crosses = crossing(facts);
  return {
    line: `M${path((row) => row.air_c)}`,
    band:
      facts.low_c === null || facts.high_c === null
        ? ''
        : `M${path((row) => row.high_c ?? row.air_c)}L${path((row) => row.low_c ?? row.air_c, [...rows].reverse())}z`,
    line_y: yOf(facts.line_c),
    crossing: crosses === null ? null : { x: xOf(crosses), at: crosses },
    degrees: scale.ticks.map((value) => ({ value, y: yShown(value) })),
    hours: hourMarks(facts, xOf),
    end: {
      x: xOf(last.at),
      y: yOf(last.air_c),
      y_low: yOf(last.low_c ?? last.air_c),
      y_high: yOf(last.high_c ?? last.air_c),
    },
  };
}

function axis(values: readonly number[]): { low: number; high: number; ticks: number[] } {
  const low = Math.min(...values);
  const high = Math.max(...values);
  const step = [1, 2, 5, 10, 20].find((size) => (high - low) / size <= 5) ?? 50;
  const first = Math.floor(low / step) * step;
  const n = Math.max(1, Math.ceil((high - first) / step));
  return {
    low: first,
    high: first + n * step,
    ticks: Array.from({ length: n + 1 }, (_, i) => first + i * step),
  };
}

/** Sunset, sunrise, and two hours between them that stand well apart. */
function hourMarks(facts: NightFacts, xOf: (at: number) => number): NightDrawing['hours'] {
  const third = (facts.sunrise - facts.sunset) / 3;
  const inner = [1, 2].map((n) => Math.round((facts.sunset + n * third) / HOUR) * HOUR);
  return [
    { at: facts.sunset, x: xOf(facts.sunset), anchor: 'start' },
    ...inner.map((at) => ({ at, x: xOf(at), anchor: 'middle' as const })),
    { at: facts.sunrise, x: xOf(facts.sunrise), anchor: 'end' },
  ];
}
