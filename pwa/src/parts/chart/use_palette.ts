import { useEffect, useState } from 'preact/hooks';
import { look } from '../look';
import { paletteNow } from './palette';
import type { Palette } from './picture';

/** The colours, fresh after the look has changed. */
export function usePalette(): Palette {
  const now = look.value;
  const [palette, setPalette] = useState(paletteNow);
  useEffect(() => setPalette(paletteNow()), [now]);
  return palette;
}
