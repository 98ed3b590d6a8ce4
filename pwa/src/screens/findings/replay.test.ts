import { describe, expect, it } from 'vitest';
import { cheapest, givesChances, type Replayed, readReplay } from './replay';
import { brierWords, costWords, leadWords, shareWords } from './replay_parts';

const calls = (hits: number, misses: number, false_alarms: number, cost: number) => ({
  hits,
  misses,
  false_alarms,
  correct_negatives: 1,
  pod: hits / (hits + misses),
  far: hits + false_alarms > 0 ? false_alarms / (hits + false_alarms) : null,
  csi: null,
  cost,
});
const ANSWER = {
  rule: 'frost',
  event: 'cold enough to hurt',
  n: 40,
  ...calls(6, 1, 4, 100),
  brier: 0.08,
  brier_climatology: 0.14,
  reliability: [
    { from: 0.1, to: 0.2, n: 30, mean_p: 0.15, observed: 0.1 },
    { from: 0.8, to: 0.9, n: 10, mean_p: 0.85, observed: 0.4 },
    { from: 0.9, to: 1, n: 0, mean_p: null, observed: null },
  ],
  unread: 2,
  cost_of_a_warning: 4,
  loss_of_a_miss: 60,
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
      pod: 6 / 7,
      far: 0.4,
      csi: undefined,
      brier: 0.08,
      brier_usual: 0.14,
      reliability: ANSWER.reliability.slice(0, 2),
      unread: 2,
      cost_of_a_warning: 4,
      loss_of_a_miss: 60,
      lead_hours: 8.5,
      beside: {
        always: { hits: 7, misses: 0, false_alarms: 33, cost: 160, pod: 1, far: 33 / 40, csi: undefined },
        never: { hits: 0, misses: 7, false_alarms: 0, cost: 420, pod: 0, far: undefined, csi: undefined },
        published: {
          hits: 5,
          misses: 2,
          false_alarms: 3,
          cost: 152,
          pod: 5 / 7,
          far: 3 / 8,
          csi: undefined,
          method: 'a method',
        },
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

describe('what is told of it', () => {
  const told = (change: object = {}) => readReplay({ ...ANSWER, ...change }) as Replayed;
  it('names the cheapest way, and does not praise the rule where another was as cheap or cheaper', () => {
    expect(cheapest(told())).toEqual({ ways: ['rule'], cost: 100 });
    expect(costWords(told())).toMatch(
      /at 4 and a miss at 60.*cost 100.*152.*160.*420\. The rule was the cheapest/,
    );
    expect(costWords(told({ cost: 152 }))).toContain('No other way was cheaper');
    expect(costWords(told({ cost: 200 }))).toContain('The published method was cheaper than this rule');
    expect(
      costWords(told({ cost: 200, beside: { ...ANSWER.beside, published: calls(5, 2, 3, 160) } })),
    ).toContain('Other ways were cheaper');
  });
  it('holds the Brier score against saying the usual share', () => {
    expect(brierWords(told())).toMatch(/0\.080.*0\.140, so the rule knew more/);
    expect(brierWords(told({ brier: 0.2 }))).toContain('the rule knew less');
    expect(brierWords(told({ brier: 0.14 }))).toContain('gets the same');
    expect(brierWords(told({ brier: null }))).toBe('');
  });
  it('gives the lead in hours, and says why there is none', () => {
    expect(leadWords(told())).toContain('8.5\u00a0h ahead');
    expect(leadWords(told({ lead_hours: null, hits: 0 }))).toContain('warned of nothing that came');
  });
  it('says how sure the shares are', () => {
    // 4 of 10 is 12.16 to 73.76 % (Clopper & Pearson 1934, tables); of none warned there is no share.
    expect(shareWords(told())[1]).toMatch(
      /Of its 10 warnings 4 were for nothing \(95\u00a0%: 12 to 74\u00a0%\)/,
    );
    expect(shareWords(told({ hits: 0, misses: 0, false_alarms: 0 }))).toEqual([]);
  });
  it('knows a rule that only says yes or no', () => {
    expect(givesChances(told())).toBe(true);
    const sure = [
      { from: 0, to: 0.1, n: 38, mean_p: 0, observed: 0 },
      { from: 0.9, to: 1, n: 2, mean_p: 1, observed: 0.5 },
    ];
    expect(givesChances(told({ reliability: sure }))).toBe(false);
  });
});
