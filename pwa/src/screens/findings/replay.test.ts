import { describe, expect, it } from 'vitest';
import { readReplay } from './replay';

const calls = (hits: number, misses: number, false_alarms: number, cost: number) => ({
  hits,
  misses,
  false_alarms,
  correct_negatives: 1,
  pod: null,
  cost,
});
const ANSWER = {
  rule: 'frost',
  event: 'cold enough to hurt',
  n: 40,
  ...calls(6, 1, 4, 100),
  brier: 0.08,
  lead_hours: 8.5,
  beside: {
    always: calls(7, 0, 33, 160),
    never: calls(0, 7, 0, 420),
    published: { ...calls(5, 2, 3, 152), method: 'a method' },
  },
  says: ['Something to know.'],
};

describe('a rule asked again', () => {
  it('is read with what it stands beside', () => {
    expect(readReplay(ANSWER)).toEqual({
      rule: 'frost',
      event: 'cold enough to hurt',
      n: 40,
      hits: 6,
      misses: 1,
      false_alarms: 4,
      cost: 100,
      brier: 0.08,
      lead_hours: 8.5,
      beside: {
        always: { hits: 7, misses: 0, false_alarms: 33, cost: 160 },
        never: { hits: 0, misses: 7, false_alarms: 0, cost: 420 },
        published: { hits: 5, misses: 2, false_alarms: 3, cost: 152, method: 'a method' },
      },
      says: ['Something to know.'],
    });
  });
  it('says nothing of what was never asked, or of an answer that is none', () => {
    expect(readReplay({ ...ANSWER, n: 0 })).toBeUndefined();
    expect(readReplay({ title: 'Not found' })).toBeUndefined();
    expect(readReplay(undefined)).toBeUndefined();
    expect(readReplay({ ...ANSWER, brier: null })?.brier).toBeUndefined();
  });
});
