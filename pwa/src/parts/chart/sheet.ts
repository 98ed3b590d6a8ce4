/** A picture on a sheet of its own, with title, sentence, scales, legend and source: what goes into a file. Pure. */
import { dayTicks, niceAxis, tickWords } from './axis';
import { type Frame, paint, xIn, yIn } from './paint';
import type { Pen } from './pen';
import {
  type LegendEntry,
  legendOf,
  type Palette,
  type Picture,
  type TimePicture,
  type View,
} from './picture';
import { paintRows, rowsHeight } from './rows';
import { drawShape } from './shapes';

export const SHEET_WIDTH = 960;
const EDGE = 32;
const PLOT_HEIGHT = 380;
const LINE = 22;

export interface SheetWords {
  /** What it means: the sentence beside the picture. */
  sentence: string;
  /** Plot, day, program. */
  source: string;
}

/** Words broken into lines of about `most` letters. */
export function broken(words: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of words.split(/\s+/).filter(Boolean)) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= most)
      lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** Draws it and answers how high it became. */
export function paintSheet(
  pen: Pen,
  picture: Picture,
  view: View,
  words: SheetWords,
  palette: Palette,
): number {
  const width = SHEET_WIDTH - 2 * EDGE;
  let y = EDGE + 20;
  pen.text(picture.title, EDGE, y, { fill: palette.ink, size: 24, bold: true });
  for (const line of broken(words.sentence, 108)) {
    y += LINE + 2;
    pen.text(line, EDGE, y, { fill: palette.ink, size: 16 });
  }
  y += LINE + 8;
  pen.text(picture.axis, EDGE, y, { fill: palette.soft, size: 14 });
  y += 12;
  if (picture.kind === 'time') {
    paintTime(pen, picture, view, { left: EDGE + 34, top: y, width: width - 34 }, palette);
    y += PLOT_HEIGHT + 34;
  } else {
    paintRows(pen, picture, { left: EDGE, top: y, width }, palette);
    y += rowsHeight(picture) + 8;
  }
  y = paintLegend(pen, legendOf(picture), EDGE, y + 10, width, palette);
  y += LINE + 6;
  pen.text(words.source, EDGE, y, { fill: palette.soft, size: 13 });
  return y + EDGE / 2;
}

function paintTime(
  pen: Pen,
  picture: TimePicture,
  view: View,
  box: { left: number; top: number; width: number },
  palette: Palette,
): void {
  const axis = niceAxis(picture.low, picture.high);
  const frame: Frame = { ...box, height: PLOT_HEIGHT, view, low: axis.low, high: axis.high };
  for (const tick of axis.ticks) {
    const at = yIn(frame, tick);
    pen.path([box.left, at, box.left + box.width, at], { stroke: palette.line, width: 1 });
    const words = tickWords(tick);
    pen.text(words, box.left - 8, at + 5, { fill: palette.soft, size: 14, anchor: 'end' });
  }
  for (const tick of dayTicks(view, 10, picture.x === 'season')) {
    const at = xIn(frame, tick.at);
    pen.path([at, frame.top + PLOT_HEIGHT, at, frame.top + PLOT_HEIGHT + 5], {
      stroke: palette.soft,
      width: 1,
    });
    pen.text(tick.words, at, frame.top + PLOT_HEIGHT + 22, {
      fill: palette.soft,
      size: 14,
      anchor: 'middle',
    });
  }
  paint(pen, picture.layers, frame, palette);
}

function paintLegend(
  pen: Pen,
  entries: readonly LegendEntry[],
  left: number,
  top: number,
  width: number,
  palette: Palette,
): number {
  let [x, y] = [left, top + 6];
  for (const entry of entries) {
    const wide = 44 + entry.label.length * 7.6;
    if (x > left && x + wide > left + width) [x, y] = [left, y + LINE + 2];
    paintSample(pen, entry, x, y - 5, palette);
    pen.text(entry.label, x + 30, y, { fill: palette.ink, size: 14 });
    x += wide;
  }
  return y;
}

/** The sample before a legend's words, 24 units wide and centred on y. */
export function paintSample(pen: Pen, entry: LegendEntry, x: number, y: number, palette: Palette): void {
  const colour = palette[entry.tone];
  if (entry.sample === 'band') {
    pen.path([x, y - 6, x + 24, y - 6, x + 24, y + 6, x, y + 6], { fill: colour, opacity: 0.42 }, true);
  } else if (entry.sample === 'whisker') {
    pen.path([x + 12, y - 7, x + 12, y + 7], { stroke: colour, width: 1.6 });
    pen.path([x + 8, y - 7, x + 16, y - 7], { stroke: colour, width: 1.6 });
    pen.path([x + 8, y + 7, x + 16, y + 7], { stroke: colour, width: 1.6 });
  } else if (entry.sample) {
    const dash = entry.dash ?? (entry.sample === 'dashed' ? [7, 4] : undefined);
    pen.path([x, y, x + 24, y], { stroke: colour, width: entry.sample === 'thick' ? 8 : 2.4, dash });
  }
  if (entry.shape) {
    const style = entry.hollow
      ? { fill: palette.ground, stroke: colour, width: 1.8 }
      : { fill: colour, stroke: palette.ground, width: 1 };
    drawShape(pen, entry.shape, x + 12, y, 5, style);
  }
}
