/** Geometry of the pressure chart, in the units of its own SVG: pure, so that it can be tested without a screen. */
import type { Point } from './model';

export const CHART = { width: 360, height: 220, left: 34, right: 10, top: 14, bottom: 30 } as const;

/** A round top and step for an axis that starts at nought: steps of 1, 2 or 5 times a power of ten. */
export function niceAxis(most: number): { top: number; ticks: number[] } {
  if (!(most > 0)) return { top: 1, ticks: [0, 1] };
  const rough = most / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough) ?? power * 10;
  const n = Math.ceil(most / step - 1e-9);
  return { top: n * step, ticks: Array.from({ length: n + 1 }, (_, i) => Math.round(i * step * 1e6) / 1e6) };
}

export interface Mark {
  point: Point;
  x: number;
  y: number;
  y_low: number;
  y_high: number;
  /** The interval runs out of the picture: drawn with an open end. */
  open: boolean;
}
export interface Drawing {
  marks: Mark[];
  /** The line through valid rounds only. */
  line: string;
  ticks: { value: number; y: number }[];
  days: { x: number; day: string; anchor: 'start' | 'middle' | 'end' }[];
  treatments: { x: number; label: string; day: string }[];
  base: number;
}

export interface TreatmentMark {
  at_ms: number;
  day: string;
  label: string;
}

/** Where all things stand. The scale follows means and intervals, but one wild interval may not flatten the rest. */
export function drawing(points: readonly Point[], treatments: readonly TreatmentMark[]): Drawing {
  const base = CHART.height - CHART.bottom;
  const means = points.map((point) => point.mean);
  const highest = Math.max(0, ...means);
  const reach = Math.max(0, ...points.map((point) => point.high ?? point.mean));
  const axis = niceAxis(Math.min(reach, Math.max(highest * 2.5, 1)));
  const first = points[0]?.at_ms ?? 0;
  const last = points.at(-1)?.at_ms ?? 0;
  const xOf = (at: number) => {
    const room = CHART.width - CHART.left - CHART.right;
    return last === first
      ? CHART.left + room / 2
      : CHART.left + 8 + ((at - first) / (last - first)) * (room - 16);
  };
  const yOf = (value: number) => base - (Math.min(value, axis.top) / axis.top) * (base - CHART.top);
  const marks = points.map((point): Mark => {
    const high = point.high ?? Number.POSITIVE_INFINITY;
    const y_low = yOf(point.low ?? 0);
    return {
      point,
      x: xOf(point.at_ms),
      y: yOf(point.mean),
      y_low,
      y_high: yOf(high),
      open: high > axis.top,
    };
  });
  const valid = marks.filter((mark) => mark.point.kind === 'valid');
  return {
    marks,
    line: valid.map((mark, i) => `${i === 0 ? 'M' : 'L'}${mark.x.toFixed(1)} ${mark.y.toFixed(1)}`).join(' '),
    ticks: axis.ticks.map((value) => ({ value, y: yOf(value) })),
    days: dayLabels(marks),
    treatments: treatments
      .filter((treatment) => treatment.at_ms >= first - 86_400_000 && treatment.at_ms <= last + 86_400_000)
      .map(({ at_ms, label, day }) => ({
        x: Math.min(CHART.width - CHART.right, Math.max(CHART.left, xOf(at_ms))),
        label,
        day,
      })),
    base,
  };
}

/** First, middle and last day, as far as they do not run into one another. */
function dayLabels(marks: readonly Mark[]): Drawing['days'] {
  const first = marks[0];
  const last = marks.at(-1);
  if (!first || !last) return [];
  if (first === last) return [{ x: first.x, day: first.point.day, anchor: 'middle' }];
  const middle = marks[Math.floor(marks.length / 2)];
  const centred = middle && middle.x - first.x > 90 && last.x - middle.x > 90;
  return [
    { x: first.x, day: first.point.day, anchor: 'start' },
    ...(centred ? [{ x: middle.x, day: middle.point.day, anchor: 'middle' as const }] : []),
    { x: last.x, day: last.point.day, anchor: 'end' },
  ];
}
