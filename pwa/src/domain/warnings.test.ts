import { describe, expect, it } from 'vitest';
import { answerOf, earlier, firstSentence, isOver, type Reply, standing, type Told } from './warnings';

const NOW = Date.parse('2026-05-12T21:00:00Z');
const told = (id: string, body: Told['body'] = {}): Told => ({
  id,
  body: { severity: 'Minor', urgency: 'Expected', window_end: '2026-05-13T05:00:00Z', ...body },
});
const ids = (all: Told[]) => all.map(({ id }) => id);

describe('what stands', () => {
  const all = [
    told('house', { severity: 'Minor', loud: false }),
    told('soil', { severity: 'Minor', urgency: 'Future' }),
    told('traps', { severity: 'Minor', window_start: '2026-05-12T20:00:00Z' }),
    told('surge', { severity: 'Moderate', urgency: 'Immediate' }),
    told('frost', { severity: 'Severe', urgency: 'Expected' }),
    told('hard frost', { severity: 'Extreme', urgency: 'Expected' }),
    told('bed', { severity: 'Moderate', urgency: 'Expected' }),
    told('lapsed', { severity: 'Minor', urgency: 'Past' }),
    told('unheard', { severity: 'Unknown' }),
  ];
  const order = ['hard frost', 'frost', 'surge', 'bed', 'traps', 'house', 'soil', 'lapsed', 'unheard'];
  it('is in the order of severity, then urgency, then loud before silent', () => {
    expect(ids(standing(all, new Set(), NOW))).toEqual(order);
  });
  it('whatever the order in which the records came', () => {
    expect(ids(standing([...all].reverse(), new Set(), NOW))).toEqual(order);
  });
  it('has what nobody here has read before its equals', () => {
    const two = [told('a'), told('b')];
    expect(ids(standing(two, new Set(['a']), NOW))).toEqual(['b', 'a']);
  });
  it('but a grave one that was read stays above a lesser one that was not', () => {
    expect(ids(standing(all, new Set(['hard frost']), NOW))[0]).toBe('hard frost');
  });
  it('leaves out what ended and what has passed', () => {
    const over = [
      told('ended', { ended_at: '2026-05-12T20:30:00Z' }),
      told('passed', { window_end: '2026-05-12T20:59:00Z' }),
    ];
    expect(standing(over, new Set(), NOW)).toEqual([]);
    expect(ids(earlier([...over, ...all], NOW))).toEqual(['ended', 'passed']);
  });
  it('keeps what has come back after it had ended', () => {
    const back = { ended_at: null } as unknown as Told['body'];
    expect(isOver(told('back', back).body, NOW)).toBe(false);
  });
});

describe('what people said', () => {
  const reply = (id: string, body: Reply['body']): Reply => ({
    id,
    body: { warning_id: 'w', observed_at: '2026-05-12T21:00:00Z', ...body },
  });
  const me = { mine: 'r1', observer: 'Ada' };
  it('is seen by this phone or by its person on another phone, not by somebody else', () => {
    expect(answerOf('w', [reply('r1', { seen: true })], me).seen).toBe(true);
    expect(answerOf('w', [reply('r2', { seen: true, observer: 'Ada' })], me).seen).toBe(true);
    expect(answerOf('w', [reply('r3', { seen: true, observer: 'Ben' })], me).seen).toBe(false);
    expect(answerOf('v', [reply('r1', { seen: true })], me).seen).toBe(false);
  });
  it('is covered when anybody has covered, and no longer when they took it back', () => {
    expect(answerOf('w', [reply('r3', { acted: true, observer: 'Ben' })], me).acted?.observer).toBe('Ben');
    expect(answerOf('w', [reply('r3', { acted: false, observer: 'Ben' })], me).acted).toBeUndefined();
  });
  it('has the newest word of what happened, and says when people differ', () => {
    const two = [
      reply('r9', { outcome: 'happened', observed_at: '2026-05-13T06:00:00Z', observer: 'Ada' }),
      reply('r1', { outcome: 'did_not_happen', observed_at: '2026-05-13T07:00:00+01:00', observer: 'Ben' }),
    ];
    // 07:00+01:00 is 06:00 UTC: the same moment, so the larger id speaks.
    expect(answerOf('w', two, me)).toMatchObject({ outcome: { what: 'happened' }, differ: true });
    const unsure = [two[0] as Reply, reply('r4', { outcome: 'not_known' })];
    expect(answerOf('w', unsure, me).differ).toBe(false);
  });
});

describe('the first sentence', () => {
  it.each([
    ['Cover tonight. Take it off at dawn.', 'Cover tonight.'],
    ['Below 0.8 °C it harms them. More.', 'Below 0.8 °C it harms them.'],
    ['No stop', 'No stop'],
    [undefined, ''],
  ])('of %s', (text, first) => {
    expect(firstSentence(text)).toBe(first);
  });
});
