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

export function paletteNow(): Palette {
  const style = getComputedStyle(document.documentElement);
  const entries = Object.entries(TOKENS).map(([tone, token]) => [tone, style.getPropertyValue(token).trim()]);
  return Object.fromEntries(entries) as Palette;
}

/** How much larger than usual the person reads. */
export function textSize(): number {
  return (Number.parseFloat(getComputedStyle(document.documentElement).fontSize) || 16) / 16;
}
