/**
 * The square code in a sheet's corner (ISO/IEC 18004), drawn on the phone. Level Q, because paper gets wet and
 * dirty: a quarter of it may be unreadable. The library does the coding; here its modules become one path.
 */
import { encode } from 'uqr';

export interface SquareCode {
  /** Modules from edge to edge, without the light margin. */
  size: number;
  version: number;
  mask: number;
  /** SVG path data, one unit a module. */
  path: string;
}

/** The margin that the standard wants around the code, in modules. */
export const MARGIN = 4;

export function squareCode(text: string): SquareCode {
  const { data, size, version, maskPattern } = encode(text, { ecc: 'Q', boostEcc: false, border: 0 });
  return { size, version, mask: maskPattern, path: data.map(rowPath).join('') };
}

/** The dark stretches of a row, each as one rectangle. */
function rowPath(modules: boolean[], y: number): string {
  let path = '';
  for (let x = 0; x < modules.length; x += 1) {
    if (!modules[x]) continue;
    const from = x;
    while (modules[x + 1]) x += 1;
    path += `M${from} ${y}h${x - from + 1}v1h-${x - from + 1}z`;
  }
  return path;
}
