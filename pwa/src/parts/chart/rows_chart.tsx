import { h } from 'preact';
import { t } from '../../text';
import { textSize } from './palette';
import { SvgPen } from './pen';
import type { RowsPicture } from './picture';
import { paintRows, rowsHeight } from './rows';
import { usePalette } from './use_palette';
import { useWidth } from './use_width';

/** Things under each other on one scale. The same drawing goes into the file. */
export function RowsChart({ picture }: { picture: RowsPicture }) {
  const [host, width] = useWidth<HTMLDivElement>();
  const palette = usePalette();
  const size = textSize();
  const height = rowsHeight(picture, size);
  const pen = new SvgPen();
  if (width > 0) paintRows(pen, picture, { left: 0, top: 0, width }, palette, size);
  return (
    <div class="plot">
      <p class="soft small plot-axis">{picture.axis}</p>
      <div ref={host} class="rows-sheet">
        <svg
          width={width || 328}
          height={height}
          role="img"
          aria-label={t('pictures.label_rows', { title: picture.title })}
        >
          {pen.elements.map(({ tag, attributes, text }, i) => h(tag, { key: i, ...attributes }, text))}
        </svg>
      </div>
    </div>
  );
}
