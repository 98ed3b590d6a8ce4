/** The shapes of marks: told apart without their colour. Pure. */
import type { Pen, Stroke } from './pen';
import type { Shape } from './picture';

export function drawShape(pen: Pen, shape: Shape, x: number, y: number, r: number, style: Stroke): void {
  if (shape === 'circle') pen.circle(x, y, r, style);
  else pen.path(outline(shape, x, y, r), style, true);
}

function outline(shape: Shape, x: number, y: number, r: number): number[] {
  const e = r * 1.35;
  if (shape === 'square') return [x - r, y - r, x + r, y - r, x + r, y + r, x - r, y + r];
  if (shape === 'diamond') return [x, y - e, x + e, y, x, y + e, x - e, y];
  // Point down: it stands on the line of what it marks.
  if (shape === 'triangle') return [x - e, y - r, x + e, y - r, x, y + e];
  if (shape === 'flag') return [x, y - e, x + 2 * e, y - e / 2, x, y];
  if (shape === 'bar')
    return [x - r / 2.2, y - e, x + r / 2.2, y - e, x + r / 2.2, y + e, x - r / 2.2, y + e];
  return star(x, y, e * 1.15);
}

/** Six points, as frost has. */
function star(x: number, y: number, r: number): number[] {
  return Array.from({ length: 12 }, (_, i) => {
    const [angle, reach] = [(i * Math.PI) / 6 - Math.PI / 2, i % 2 === 0 ? r : r * 0.38];
    return [x + reach * Math.cos(angle), y + reach * Math.sin(angle)];
  }).flat();
}
