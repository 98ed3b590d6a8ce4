/** Where the words on a bed stand and how long they may be: in pixels, so that they are the same size at every zoom. Pure. */
import { boxOf, type Corner, rectangleOf } from './geometry';

/** Mean width of a letter for its size; a sans serif of the system. Measured on the fonts of the test machine. */
const LETTER = 0.56;

export interface Words {
  text: string;
  x: number;
  y: number;
  size: number;
  /** Degrees by which the line is turned, so that it runs along a narrow bed. */
  turn: number;
}

export function widthOf(text: string, size: number): number {
  return text.length * size * LETTER;
}

/** Lies along the long side, but never upside down: between -90 and 90 degrees. */
function readable(degrees: number): number {
  const half = ((degrees % 180) + 180) % 180;
  return half > 90 ? half - 180 : half === 90 ? -90 : half;
}

/** The name and the value of a bed with these corners on the screen; what does not fit is left out or cut. */
export function bedWords(screen: readonly Corner[], name: string, value: string): Words[] {
  const rectangle = rectangleOf(screen);
  const box = boxOf(screen);
  const [w, h] = rectangle
    ? [rectangle.across, rectangle.along]
    : [0.8 * (box.right - box.left), 0.8 * (box.bottom - box.top)];
  const [x, y] = rectangle
    ? [rectangle.x, rectangle.y]
    : [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
  const long = Math.max(w, h);
  const narrow = Math.min(w, h);
  const turn = readable((rectangle?.turn ?? 0) + (h > w ? 90 : 0));
  // Level reads best, as long as the name need not be cut for it.
  const fits = narrow >= 30 && widthOf(name, 11) <= narrow + 3;
  const level = turn === 0 || (fits && Math.abs(turn) > 45);
  return level
    ? stacked(x, y, turn === 0 ? long : narrow, turn === 0 ? narrow : long, name, value)
    : inLine({ x, y, turn }, long, narrow, name, value);
}

/** Value over name, both level. */
function stacked(x: number, y: number, w: number, h: number, name: string, value: string): Words[] {
  const size = value.length <= 5 ? 16 : 12;
  const label = cut(name, 11, w + 3);
  if (value === '') return label && h >= 13 ? [{ text: label, x, y, size: 11, turn: 0 }] : [];
  if (!label || h < 34)
    return [{ text: cut(value, size, w + 14), x, y, size, turn: 0 }].filter((line) => line.text);
  return [
    { text: cut(value, size, w + 14), x, y: y - 6, size, turn: 0 },
    { text: label, x, y: y + 9, size: 11, turn: 0 },
  ].filter((line) => line.text);
}

/** Along a narrow bed: a short value stays level in the middle, the name runs along one half. */
function inLine(
  at: { x: number; y: number; turn: number },
  long: number,
  narrow: number,
  name: string,
  value: string,
): Words[] {
  const { x, y, turn } = at;
  const [cos, sin] = [Math.cos((turn * Math.PI) / 180), Math.sin((turn * Math.PI) / 180)];
  const along = (share: number): Corner => [x + share * cos, y + share * sin];
  const size = Math.min(10.5, narrow - 2);
  if (size < 8) return value ? [{ text: cut(value, 14, 60), x, y, size: 14, turn: 0 }] : [];
  if (value === '')
    return [{ text: cut(name, size, long - 6), x, y, size, turn }].filter((line) => line.text);
  if (value.length > 5) {
    const both = `${cut(value, size + 1, long - 6)}`;
    return both ? [{ text: both, x, y, size: size + 1, turn }] : [];
  }
  const room = long / 2 - 11;
  const label = cut(name, size, room + 3);
  const [lx, ly] = along(-(11 + long / 2) / 2);
  return [
    { text: value, x, y, size: 15, turn: 0 },
    ...(label ? [{ text: label, x: lx, y: ly, size, turn }] : []),
  ];
}

/** The text as far as it fits: whole, cut with a dot, or nothing when less than two letters would stand. */
function cut(text: string, size: number, room: number): string {
  if (widthOf(text, size) <= room) return text;
  const letters = Math.floor(room / (size * LETTER)) - 1;
  return letters >= 2 ? `${text.slice(0, letters).trimEnd()}.` : '';
}
