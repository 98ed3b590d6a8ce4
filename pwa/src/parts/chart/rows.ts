/** Things under each other on one scale, drawn by any pen. Pure. */
import { dayTicks, niceAxis, type Tick, tickWords } from './axis';
import type { Pen } from './pen';
import type { Palette, PictureRow, RowsPicture } from './picture';
import { drawShape } from './shapes';

/** Measures at the usual size of text. */
const ROW = 46;
const WORDS = 18;
const FOOT = 30;
const EDGE = 16;

export function rowsHeight(picture: RowsPicture, size = 1): number {
  return (picture.rows.length * ROW + FOOT) * size;
}

interface Scale {
  at: (x: number) => number;
  left: number;
  right: number;
  ticks: Tick[];
}

function scaleOf(picture: RowsPicture, left: number, width: number, size: number): Scale {
  const [from, to] = [left + EDGE, left + width - EDGE];
  const { whole } = picture;
  const day = picture.x === 'day';
  const axis = day ? undefined : niceAxis(whole.from, whole.to, Math.max(2, Math.floor(width / (70 * size))));
  const view = axis ? { from: axis.low, to: axis.high } : whole;
  const ticks = axis
    ? axis.ticks.map((value) => ({ at: value, words: tickWords(value) }))
    : dayTicks(view, Math.max(2, Math.floor(width / (64 * size))));
  const at = (x: number): number =>
    from + ((x - view.from) / Math.max(view.to - view.from, 1e-9)) * (to - from);
  return { at, left: from, right: to, ticks };
}

export function paintRows(
  pen: Pen,
  picture: RowsPicture,
  box: { left: number; top: number; width: number },
  palette: Palette,
  size = 1,
): void {
  const scale = scaleOf(picture, box.left, box.width, size);
  const foot = box.top + picture.rows.length * ROW * size;
  for (const { at, words } of scale.ticks) {
    const x = scale.at(at);
    pen.path([x, box.top, x, foot], { stroke: palette.line, width: 1 });
    pen.text(words, x, foot + 18 * size, { fill: palette.soft, size: 13 * size, anchor: 'middle' });
  }
  picture.rows.forEach((row, i) => {
    paintRow(pen, row, scale, { ...box, top: box.top + i * ROW * size }, palette, size);
  });
}

function paintRow(
  pen: Pen,
  row: PictureRow,
  scale: Scale,
  box: { left: number; top: number; width: number },
  palette: Palette,
  size: number,
): void {
  const base = box.top + (WORDS - 3) * size;
  const value = cut(row.value, (box.width * 0.6) / size);
  pen.text(cut(row.label, box.width / size - 20 - value.length * 7.2), box.left, base, {
    ...{ fill: palette.ink, size: 14 * size, bold: true },
  });
  pen.text(value, box.left + box.width, base, { fill: palette.soft, size: 13 * size, anchor: 'end' });
  const y = box.top + (WORDS + 13) * size;
  pen.path([scale.left, y, scale.right, y], { stroke: palette.line, width: 1 });
  for (const span of row.spans) {
    const [from, to] = [
      scale.at(span.from),
      span.to === null ? scale.right : Math.min(scale.right, scale.at(span.to)),
    ];
    const colour = palette[span.tone];
    pen.path([from, y, to, y], { stroke: colour, width: (span.thick ? 9 : 3) * size, dash: span.dash });
    if (span.to === null || scale.at(span.to) > scale.right + 1)
      pen.path([to - 6 * size, y - 5 * size, to, y, to - 6 * size, y + 5 * size], {
        stroke: colour,
        width: 2,
      });
  }
  for (const mark of row.marks) {
    const colour = palette[mark.tone];
    const style = mark.hollow
      ? { fill: palette.ground, stroke: colour, width: 1.8 }
      : { fill: colour, stroke: palette.ground, width: 1 };
    drawShape(pen, mark.shape, scale.at(mark.at), y, 5 * size, style);
  }
}

/** As much of the words as about `width` units hold, at 14 units a line. */
function cut(words: string, width: number): string {
  const most = Math.max(4, Math.floor(width / 7.4));
  return words.length <= most ? words : `${words.slice(0, most - 1)}…`;
}
