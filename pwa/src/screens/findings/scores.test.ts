import { describe, expect, it } from 'vitest';
import { ruleScores } from './scores';

const warning = (id: string, rule: string) => ({ id, body: { rule } });
const reply = (warning_id: string, outcome: 'happened' | 'did_not_happen' | 'not_known', at = '06:00') => ({
  id: `${warning_id}${at}`,
  body: { warning_id, outcome, observed_at: `2026-05-13T${at}:00Z` },
});
const WARNINGS = [
  warning('w1', 'frost'),
  warning('w2', 'frost'),
  warning('w3', 'heat'),
  warning('w4', 'frost'),
];

describe('how good the warnings were', () => {
  it('counts what people answered, the newest word for each warning', () => {
    const replies = [
      reply('w1', 'did_not_happen', '07:00'),
      reply('w1', 'happened', '06:00'),
      reply('w2', 'happened'),
      reply('w3', 'happened'),
      reply('w4', 'not_known'),
      reply('gone', 'happened'),
    ];
    expect(ruleScores(undefined, WARNINGS, replies, ['frost', 'heat'])).toMatchObject([
      { rule: 'frost', hits: 1, false_alarms: 1, misses: 0, here: true },
      { rule: 'heat', hits: 1, false_alarms: 0, here: true },
    ]);
  });
  it('takes what the server has judged, which knows of misses too', () => {
    const kept = {
      frost: { hits: 4, misses: 1, false_alarms: 3, correct_negatives: 30, words: 'Since April: …' },
      surge: { hits: 0, misses: 0, false_alarms: 0 },
    };
    expect(
      ruleScores(kept, WARNINGS, [reply('w1', 'happened'), reply('w3', 'happened')], ['heat', 'frost']),
    ).toEqual([
      expect.objectContaining({ rule: 'heat', hits: 1, here: true }),
      {
        rule: 'frost',
        hits: 4,
        misses: 1,
        false_alarms: 3,
        correct_negatives: 30,
        words: 'Since April: …',
        here: false,
      },
    ]);
  });
  it('has nothing to show where nothing was judged', () => {
    expect(ruleScores(undefined, WARNINGS, [], [])).toEqual([]);
  });
});
