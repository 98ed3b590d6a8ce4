/** What stations, their numbers and marks cover on the screen: words go beside it. Pixels. Pure. */
import { type Corner, cornersOf, type Outline } from './geometry';
import type { Spot } from './ground';
import { widthOf } from './labels';
import { toScreen, type Viewport } from './viewport';

/** Stations grow with the ground, but never so small that they cannot be told apart. */
export function glyphScale(view: Viewport): number {
  return Math.round(Math.min(1.2, Math.max(0.6, view.scale / 36)) * 100) / 100;
}

/** Where the number of a station is printed, pixels above it. */
export const numberAt = (kind: string): number => (kind === 'slug_board' ? -11 : -12);

/** What a station and its printed number cover, pixels: words go beside it. */
export function coversOf(spot: Spot, view: Viewport, turn: number, number: string | undefined): Outline[] {
  const [x, y] = toScreen(view, spot.at);
  const kind = spot.station.kind ?? 'slug_board';
  const scale = glyphScale(view);
  const [across, along] = kind === 'slug_board' ? [16, 7] : [12, 16];
  const glyph = { x, y, across: across * scale + 2, along: along * scale + 2 };
  const printed = number
    ? [cornersOf({ x, y: y + numberAt(kind), across: widthOf(number, 11), along: 11, turn: 0 })]
    : [];
  return [cornersOf({ ...glyph, turn: kind === 'slug_board' ? turn : 0 }), ...printed];
}

/** Half the width of the diamond that marks what waits to be settled. */
const FLAG = 9;

/** The upper right corner of a bed, where that mark is drawn. */
export function flagAt(bed: readonly Corner[]): Corner {
  return [Math.max(...bed.map(([x]) => x)) - 2, Math.min(...bed.map(([, y]) => y)) + 2];
}

export function flagCover(bed: readonly Corner[]): Outline {
  const [x, y] = flagAt(bed);
  return [
    [x, y - FLAG],
    [x + FLAG, y],
    [x, y + FLAG],
    [x - FLAG, y],
  ];
}
