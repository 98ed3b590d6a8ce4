import { h } from 'preact';
import { SvgPen } from './pen';
import type { LegendEntry } from './picture';
import { paintSample } from './sheet';
import { usePalette } from './use_palette';

/** Samples large enough to be told apart in the sun: shape and words, never the colour alone. */
export function Legend({ entries }: { entries: readonly LegendEntry[] }) {
  const palette = usePalette();
  if (entries.length === 0) return null;
  return (
    <ul class="plot-legend small">
      {entries.map((entry) => {
        const pen = new SvgPen();
        paintSample(pen, entry, 2, 10, palette);
        return (
          <li key={entry.label}>
            <svg viewBox="0 0 28 20" width="28" height="20" aria-hidden="true" focusable="false">
              {pen.elements.map(({ tag, attributes }, i) => h(tag, { key: i, ...attributes }))}
            </svg>
            {entry.label}
          </li>
        );
      })}
    </ul>
  );
}
