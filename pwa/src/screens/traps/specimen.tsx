import type { LookAlike } from './model';
import { Drawing } from './sketches';

/** Where each numbered mark of a drawing points: on the sketch of 120 by 36, and where its number stands. */
const POINTS: Readonly<Record<LookAlike, readonly (readonly [x: number, y: number, up: boolean])[]>> = {
  wireworms: [
    [11, 17, true],
    [27, 26, false],
    [72, 22, false],
    [106, 15, true],
  ],
  millipedes: [
    [8, 14, true],
    [58, 27, false],
    [82, 14, true],
  ],
  leatherjackets: [
    [18, 17, true],
    [58, 25, false],
    [111, 15, true],
  ],
  centipedes: [
    [9, 10, true],
    [50, 29, false],
    [84, 15, true],
  ],
};
/** The sketch drawn 2.5 times as large, with room for numbers above and below. */
const SCALE = 2.5;
const [LEFT, TOP] = [10, 36];

/** A large drawing with numbered marks; the words of the marks stand under it. */
export function Specimen({ of }: { of: LookAlike }) {
  return (
    <svg class="specimen-drawing creature-lines" viewBox="0 0 320 162" aria-hidden="true" focusable="false">
      <g transform={`translate(${LEFT} ${TOP}) scale(${SCALE})`}>
        <Drawing of={of} />
      </g>
      {POINTS[of].map(([x, y, up], i) => {
        const [px, py] = [LEFT + x * SCALE, TOP + y * SCALE];
        const ny = up ? 16 : 146;
        return (
          <g key={`${of} ${i + 1}`}>
            <path class="specimen-leader" d={`M${px} ${py}V${up ? ny + 13 : ny - 13}`} />
            <circle class="specimen-dot" cx={px} cy={py} r="3" />
            <circle class="specimen-number" cx={px} cy={ny} r="12" />
            <text class="specimen-figure" x={px} y={ny + 5} text-anchor="middle">
              {i + 1}
            </text>
          </g>
        );
      })}
    </svg>
  );
}
