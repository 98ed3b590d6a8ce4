import { describe, expect, it } from 'vitest';
import css from './tokens.css?raw';

/** WCAG 2.2, success criteria 1.4.3 (text, 4.5:1) and 1.4.11 (edges of controls, 3:1), formulas of its glossary. */
function tokens(look: 'day' | 'dawn'): Map<string, string> {
  const block = css.slice(css.indexOf(`[data-look="${look}"]`));
  const found = block.slice(0, block.indexOf('}')).matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g);
  return new Map([...found].map(([, name = '', colour = '']) => [name, colour]));
}

function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(one: string, two: string): number {
  const [dark = 0, light = 0] = [luminance(one), luminance(two)].sort((a, b) => a - b);
  return (light + 0.05) / (dark + 0.05);
}

const TEXT: [ink: string, grounds: string[]][] = [
  ['ink', ['ground', 'ground-raised', 'ground-sunk', 'glow-ground', 'good-ground', 'bad-ground']],
  ['ink-soft', ['ground', 'ground-raised', 'ground-sunk', 'glow-ground', 'good-ground', 'bad-ground']],
  ['act-ink', ['act', 'act-press']],
  ['plank-ink', ['plank', 'plank-dark']],
  ['plank-ink-soft', ['plank', 'plank-dark']],
  ['good', ['good-ground', 'ground-raised', 'ground']],
  ['bad', ['bad-ground', 'ground-raised', 'ground']],
  ['ground', ['bad']],
  ['glow', ['ground', 'ground-raised']],
  ['step-ink-low', ['step-0', 'step-1', 'step-2', 'step-3']],
  ['step-ink-high', ['step-4', 'step-5']],
];
const EDGES: [edge: string, grounds: string[]][] = [
  ['ink-edge', ['ground', 'ground-raised', 'ground-sunk']],
  ['focus', ['ground', 'ground-raised', 'ground-sunk', 'plank']],
];

describe.each(['day', 'dawn'] as const)('in the %s look', (look) => {
  const of = tokens(look);
  const pairs = (list: [string, string[]][]) =>
    list.flatMap(([front, grounds]) => grounds.map((ground) => [front, ground] as const));
  it.each(pairs(TEXT))('%s on %s can be read', (ink, ground) => {
    expect(contrast(of.get(ink) ?? '', of.get(ground) ?? '')).toBeGreaterThanOrEqual(4.5);
  });
  it('the steps of the scale run one way in lightness, each told from the next without its hue', () => {
    const ladder = [0, 1, 2, 3, 4, 5].map((step) => of.get(`step-${step}`) ?? '');
    const order = look === 'day' ? ladder : [...ladder].reverse();
    for (let i = 1; i < order.length; i += 1) {
      const [before = '', next = ''] = order.slice(i - 1, i + 1);
      expect(luminance(before)).toBeGreaterThan(luminance(next));
      expect(contrast(before, next)).toBeGreaterThan(1.2);
    }
  });
  it.each(pairs(EDGES))('%s on %s can be seen', (edge, ground) => {
    expect(contrast(of.get(edge) ?? '', of.get(ground) ?? '')).toBeGreaterThanOrEqual(3);
  });
});

it('the formula gives the values that WCAG states for its ends', () => {
  expect(contrast('#ffffff', '#000000')).toBeCloseTo(21, 10);
  expect(contrast('#777777', '#ffffff')).toBeCloseTo(4.48, 2); // the well-known grey that just fails
});
