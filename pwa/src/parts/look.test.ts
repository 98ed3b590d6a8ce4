import { describe, expect, it } from 'vitest';
import { lookAt } from './look';

const HOUR = 3_600_000;
const sun = { rise: 6 * HOUR, set: 20 * HOUR };

describe('the look', () => {
  it('is amber until the sun is up and again when it has set', () => {
    expect(lookAt('auto', 6 * HOUR - 1, sun, false)).toBe('dawn');
    expect(lookAt('auto', 6 * HOUR, sun, true)).toBe('day');
    expect(lookAt('auto', 20 * HOUR - 1, sun, true)).toBe('day');
    expect(lookAt('auto', 20 * HOUR, sun, false)).toBe('dawn');
  });

  it('is as the phone is set where the sun is not known or does not cross the horizon', () => {
    expect(lookAt('auto', 0, undefined, true)).toBe('dawn');
    expect(lookAt('auto', 0, undefined, false)).toBe('day');
    expect(lookAt('auto', 0, { rise: null, set: null }, false)).toBe('day');
  });

  it('is what the person chose, at any hour', () => {
    expect(lookAt('dawn', 12 * HOUR, sun, false)).toBe('dawn');
    expect(lookAt('day', 0, sun, true)).toBe('day');
  });
});
