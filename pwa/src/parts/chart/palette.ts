/** The colours of the look that is on, read from the one token file. */
import type { Palette, Tone } from './picture';

const TOKENS: Record<Tone, string> = {
  ink: '--ink',
  soft: '--ink-soft',
  line: '--ink-line',
  ground: '--ground-raised',
  glow: '--glow',
  good: '--good',
  bad: '--bad',
  plank: '--plank-edge',
  act: '--act',
};

export function paletteNow(of: Element = document.documentElement): Palette {
  const style = getComputedStyle(of);
  const entries = Object.entries(TOKENS).map(([tone, token]) => [tone, style.getPropertyValue(token).trim()]);
  return Object.fromEntries(entries) as Palette;
}

/** The colours of the day, whichever look is on: a file is printed, or read by somebody else. */
export function paletteOfDay(): Palette {
  const sheet = document.createElement('i');
  sheet.dataset.look = 'day';
  document.body.append(sheet);
  const palette = paletteNow(sheet);
  sheet.remove();
  return palette;
}

/** How much larger than usual the person reads. */
export function textSize(): number {
  return (Number.parseFloat(getComputedStyle(document.documentElement).fontSize) || 16) / 16;
}
