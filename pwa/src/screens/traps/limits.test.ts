import { expect, it } from 'vitest';
import { limitsOf } from './limits';

it('takes the usual settings of the server until the plot has its own', () => {
  // core/warnings/rules/wireworm.py
  const usual = { plant_per_trap: 0.5, do_not_per_trap: 1, do_not_per_ha: 60_000, clumping_k: 0.5 };
  expect(limitsOf([])).toEqual(usual);
  const watch = { id: 'w', body: { rule: 'wireworm', settings: { plant_per_trap: 0.2, from_month: 3 } } };
  expect(limitsOf([{ id: 'x', body: { rule: 'frost', settings: { plant_per_trap: 9 } } }, watch])).toEqual({
    ...usual,
    plant_per_trap: 0.2,
  });
});
