import { describe, expect, it } from 'vitest';
import { celsius, type Quantity } from '../readings/model';
import { type DiaryView, GROUPS, timeline } from './model';
import { caught, extremes, missed, together } from './together';

const ALL = new Set(GROUPS);
const C = (value: number): Quantity => ({ value, unit: 'degC' });
let n = 0;

function view(type: string, at: string, body: Record<string, unknown> = {}): DiaryView {
  n += 1;
  return { id: `${type} ${n} ${at}`, type, body: { observed_at: `2026-05-12T${at}:00+01:00`, ...body } };
}

function told(views: DiaryView[]): [string, number][] {
  const [day] = timeline(views, 'Europe/London', ALL);
  return together(day?.entries ?? []).map((one) => [one.view.type, one.parts?.length ?? 1]);
}

describe('what was read on one walk', () => {
  it('is one entry, whatever else was written down meanwhile; the evening is another walk', () => {
    const morning = ['06:50', '07:02', '08:20'].map((at) => view('temperature', at));
    const evening = [view('temperature', '19:00'), view('temperature', '19:04')];
    const views = [...morning, view('round', '07:01'), view('note', '07:30'), ...evening];
    expect(told(views)).toEqual([
      ['temperature', 2],
      ['temperature', 3],
      ['note', 1],
      ['round', 1],
    ]);
  });

  it('of one thermometer stays as it is, and more than an hour and a half apart are two walks', () => {
    expect(told([view('temperature', '07:00')])).toEqual([['temperature', 1]]);
    expect(told([view('temperature', '07:00'), view('temperature', '08:31')])).toEqual([
      ['temperature', 1],
      ['temperature', 1],
    ]);
  });

  it('takes nothing from the parts: each is there once, and the worst standing is said of all', () => {
    const parts = ['07:00', '07:01', '07:02'].map((at) => view('temperature', at));
    const [first, second] = parts;
    if (!first || !second) throw new Error('made above');
    second.pending = true;
    const [day] = timeline(parts, 'Europe/London', ALL);
    const [one] = together(day?.entries ?? []);
    expect(one?.parts?.map(({ id }) => id)).toEqual(parts.map(({ id }) => id));
    expect(one?.standing).toBe('pending');
    expect(one?.view.id).toBe(first.id);
    expect(Date.parse(one?.at ?? '')).toBe(Date.parse('2026-05-12T07:02:00+01:00'));
  });

  it('names the coldest and the warmest, in whatever unit they were typed', () => {
    const post = view('temperature', '07:00', {
      min: C(-1.4),
      max: { value: 50, unit: 'degF' },
      current: C(4),
    });
    const soil = view('temperature', '07:05', { current: C(8) });
    const tunnel = view('temperature', '07:06', { max: C(31), min: { value: 41, unit: 'degF' } });
    const none = view('temperature', '07:07');
    const read = (value: unknown) => (value ? celsius(value as Quantity) : undefined);
    const { lowest, highest } = extremes([post, soil, tunnel, none], read);
    expect([lowest?.view.id, lowest?.value]).toEqual([post.id, C(-1.4)]);
    expect([highest?.view.id, highest?.value]).toEqual([tunnel.id, C(31)]);
    expect(extremes([none], read)).toEqual({ lowest: undefined, highest: undefined });
  });
});

describe('traps of one morning', () => {
  const trap = (station_id: string, body: Record<string, unknown>) =>
    view('trap_catch', '08:30', { station_id, ...body });

  it('that were set are one entry, those that were lifted another', () => {
    const set = ['a', 'b', 'c'].map((id): DiaryView => {
      return { id, type: 'trap_catch', body: { set_at: '2026-05-12T08:30:00+01:00', station_id: id } };
    });
    const lifted = ['d', 'e'].map((id) => trap(id, { state: 'none_found' }));
    expect(told([...set, ...lifted]).sort()).toEqual([
      ['trap_catch', 2],
      ['trap_catch', 3],
    ]);
  });

  it('add up, without those that say nothing; not where two people lifted one', () => {
    const parts = [
      trap('a', { state: 'counted', wireworms: 2 }),
      trap('b', { state: 'none_found' }),
      trap('c', { state: 'spoiled', wireworms: 9 }),
      trap('d', { state: 'counted', beetles: 4 }),
    ];
    expect(caught(parts)).toEqual({ wireworms: 2, beetles: 4 });
    expect(missed(parts)).toBe(1);
    expect(caught([trap('a', { state: 'not_turned' })])).toBeUndefined();
    expect(caught([...parts, trap('a', { state: 'counted', wireworms: 3 })])).toBeUndefined();
  });
});
