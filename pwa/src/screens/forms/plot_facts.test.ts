import { expect, it } from 'vitest';
import { mayRecord } from './plot_facts';

it('offers writing to owners, helpers and a phone that is not paired, not to one that only reads', () => {
  expect(['owner', 'helper', undefined].map((role) => mayRecord({ role }))).toEqual([true, true, true]);
  expect(mayRecord({ role: 'reader' })).toBe(false);
});
