/**
 * What a picture holds, whoever draws it: the canvas on the screen, the vector file, the file of pixels. Pure.
 *
 * x is milliseconds of a day's midnight in UTC (a day is a local date of the plot), or a plain number.
 */

/** Colours by what they mean; the look says which they are (palette.ts). Never the only difference. */
export type Tone = 'ink' | 'soft' | 'line' | 'ground' | 'glow' | 'good' | 'bad' | 'plank' | 'act';
export type Palette = Record<Tone, string>;
export type Shape = 'circle' | 'square' | 'diamond' | 'triangle' | 'star' | 'flag' | 'bar';

type Numbers = readonly number[];
type Gappy = readonly (number | null)[];

/** From `low` to `high`; a null is an open end, and both null a gap. */
export interface Band {
  kind: 'band';
  label?: string;
  x: Numbers;
  low: Gappy;
  high: Gappy;
  tone: Tone;
  /** Farther apart than this is not joined [ms]. */
  gap?: number;
}
export interface Line {
  kind: 'line';
  label?: string;
  x: Numbers;
  y: Gappy;
  tone: Tone;
  width?: number;
  dash?: readonly number[];
  gap?: number;
}
export interface Dots {
  kind: 'dots';
  label?: string;
  x: Numbers;
  y: Gappy;
  shape: Shape;
  tone: Tone;
  hollow?: boolean;
}
/** Intervals drawn one by one, for few points. */
export interface Whiskers {
  kind: 'whiskers';
  label?: string;
  x: Numbers;
  low: Gappy;
  high: Gappy;
  tone: Tone;
}
/** Something that happened on a day: a line down from a shape at the upper edge. */
export interface Flags {
  kind: 'flags';
  label?: string;
  x: Numbers;
  shape: Shape;
  tone: Tone;
}
/** A height with a name: nought degrees, a threshold. */
export interface Level {
  kind: 'level';
  label?: string;
  y: number;
  tone: Tone;
}
export type Layer = Band | Line | Dots | Whiskers | Flags | Level;

export interface View {
  from: number;
  to: number;
}
export interface TimePicture {
  kind: 'time';
  /** Start of the names of its files. */
  name: string;
  title: string;
  /** What the heights are, with their unit. */
  axis: string;
  /** `season`: the same days of all years over each other, on the days of the year 2000. */
  x: 'day' | 'season';
  whole: View;
  /** Heights from here to there; the axis is rounded outwards. */
  low: number;
  high: number;
  layers: readonly Layer[];
}

export interface RowSpan {
  from: number;
  /** Null: open end. */
  to: number | null;
  tone: Tone;
  thick?: boolean;
  dash?: readonly number[];
}
export interface RowMark {
  at: number;
  shape: Shape;
  tone: Tone;
  hollow?: boolean;
}
export interface PictureRow {
  label: string;
  /** Its number in words, at the right end. */
  value: string;
  spans: readonly RowSpan[];
  marks: readonly RowMark[];
}
export interface LegendEntry {
  label: string;
  tone: Tone;
  shape?: Shape;
  hollow?: boolean;
  /** A piece of a line, a broken one, a band. */
  sample?: 'line' | 'dashed' | 'band' | 'whisker' | 'thick';
  dash?: readonly number[];
}
/** Things under each other on one scale: beds by rank, sowings by day. */
export interface RowsPicture {
  kind: 'rows';
  name: string;
  title: string;
  axis: string;
  x: 'number' | 'day';
  whole: View;
  rows: readonly PictureRow[];
  legend: readonly LegendEntry[];
}
export type Picture = TimePicture | RowsPicture;

/** One entry for each layer that has a name. */
export function legendOf(picture: Picture): LegendEntry[] {
  if (picture.kind === 'rows') return [...picture.legend];
  return picture.layers.flatMap((layer): LegendEntry[] => {
    if (!layer.label) return [];
    const { label, tone } = layer;
    if (layer.kind === 'dots')
      return [{ label, tone, shape: layer.shape, ...(layer.hollow ? { hollow: true } : {}) }];
    if (layer.kind === 'flags') return [{ label, tone, shape: layer.shape }];
    if (layer.kind === 'band') return [{ label, tone, sample: 'band' }];
    if (layer.kind === 'whiskers') return [{ label, tone, sample: 'whisker' }];
    if (layer.kind === 'level') return [{ label, tone, sample: 'dashed' }];
    return [
      { label, tone, sample: layer.dash ? 'dashed' : 'line', ...(layer.dash ? { dash: layer.dash } : {}) },
    ];
  });
}
