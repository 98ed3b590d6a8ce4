import { describe, expect, it } from 'vitest';
import { EDITABLE, editSet, fieldsOf, fieldText, fieldValue } from './editable';
import { type DiaryView, GROUPS, momentOf, standingOf, tallyOf, timeline, timesAreRight } from './model';

const ZONE = 'Europe/London';
const ALL = new Set(GROUPS);
const view = (
  id: string,
  type: string,
  body: Record<string, unknown>,
  more: Partial<DiaryView> = {},
): DiaryView => ({
  id,
  type,
  body,
  ...more,
});
const count = (id: string, station: string, body: Record<string, unknown>) =>
  view(id, 'slug_count', {
    round_id: 'r1',
    station_id: station,
    observed_at: '2026-06-30T06:10:00+01:00',
    ...body,
  });
const ROUND = view('r1', 'round', { kind: 'dawn', observed_at: '2026-06-30T06:00:00+01:00' });

describe('the time line', () => {
  it('goes by the plot\u2019s own days, newest first', () => {
    const late = view('n1', 'note', { text: 'owl', observed_at: '2026-06-30T23:30:00Z' });
    const days = timeline([ROUND, late], ZONE, ALL);
    expect(days.map((day) => day.day)).toEqual(['2026-07-01', '2026-06-30']);
  });
  it('tells a round in one line, with its counts under it', () => {
    const counts = [
      count('a', 'b1', { state: 'counted', count: 5 }),
      count('b', 'b2', { state: 'none_found' }),
      count('c', 'b3', { state: 'not_turned' }),
    ];
    const [day] = timeline([ROUND, ...counts], ZONE, ALL);
    expect(day?.entries).toHaveLength(1);
    expect(day?.entries[0]?.tally).toEqual({
      n_counted: 1,
      n_none: 1,
      n_missed: 1,
      total: 5,
      n_disputed: 0,
      n_kept: 0,
    });
  });
  it('shows a count whose round is not here by itself', () => {
    expect(timeline([count('a', 'b1', {})], ZONE, ALL)[0]?.entries[0]?.view.id).toBe('a');
  });
  it('leaves out what the filter leaves out, and what was deleted', () => {
    expect(timeline([ROUND], ZONE, new Set(['notes'] as const))).toEqual([]);
    expect(timeline([{ ...ROUND, deleted: true }], ZONE, ALL)).toEqual([]);
  });
  it('keeps a deleted record in sight while somebody has to decide', () => {
    expect(timeline([{ ...ROUND, deleted: true, conflicts: [{}] }], ZONE, ALL)).toHaveLength(1);
  });
  it('knows when a crop began and when an open trap was set', () => {
    expect(momentOf(view('c', 'crop', { started_on: '2026-03-01' }))).toBe('2026-03-01T12:00:00Z');
    expect(momentOf(view('t', 'trap_catch', { set_at: '2026-03-01T08:00:00Z' }))).toBe(
      '2026-03-01T08:00:00Z',
    );
    expect(momentOf(view('x', 'note', { observed_at: 'yesterday' }))).toBeUndefined();
  });
});

describe('double counts in a round', () => {
  const two = [
    count('a', 'b1', { state: 'counted', count: 7 }),
    count('b', 'b1', { state: 'counted', count: 9 }),
  ];
  it('are in no total until one stands', () => {
    expect(tallyOf(two)).toMatchObject({ total: 0, n_disputed: 1 });
    const [a, b] = two;
    if (!a || !b) throw new Error('two counts');
    const settled = [
      { ...a, body: { ...a.body, stands: true } },
      { ...b, body: { ...b.body, set_aside: true } },
    ];
    expect(tallyOf(settled)).toMatchObject({ total: 7, n_counted: 1, n_disputed: 0 });
  });
  it('are in no total either, but wait for nobody, when both were kept', () => {
    const kept = two.map((one) => ({ ...one, body: { ...one.body, stands: true } }));
    expect(tallyOf(kept)).toMatchObject({ total: 0, n_disputed: 0, n_kept: 1 });
  });
});

describe('a record from a phone with a wrong clock', () => {
  const note = { ...view('n', 'note', { observed_at: '2028-05-10T07:30:00Z' }), clock_suspect: true };
  it('says so, unless something more urgent is to be said, or no time of an observation is at stake', () => {
    expect(standingOf(note)).toBe('clock');
    expect(standingOf({ ...note, pending: true })).toBe('pending');
    expect(standingOf({ ...view('c', 'crop', { started_on: '2028-05-10' }), clock_suspect: true })).toBe(
      'clean',
    );
    expect(timeline([{ ...note, deleted: true }], ZONE, ALL)).toEqual([]);
  });
  it('is mended by saying its time again, and only it', () => {
    expect(timesAreRight([note, view('m', 'note', { observed_at: '2026-05-10T07:30:00Z' })])).toEqual([
      { type: 'note', id: 'n', set: { observed_at: '2028-05-10T07:30:00Z' } },
    ]);
  });
});

describe('standing of a record', () => {
  it('says the most urgent thing', () => {
    expect(standingOf({ ...ROUND, pending: true })).toBe('pending');
    expect(standingOf({ ...ROUND, pending: true, conflicts: [{}] })).toBe('conflict');
    expect(standingOf({ ...ROUND, conflicts: [{}], needs_fix: {} })).toBe('needs_fix');
    expect(standingOf(ROUND)).toBe('clean');
  });
  it('a round is as urgent as its worst count', () => {
    const bad = { ...count('a', 'b1', { state: 'counted', count: 1 }), conflicts: [{}] };
    expect(timeline([ROUND, bad], ZONE, ALL)[0]?.entries[0]?.standing).toBe('conflict');
  });
});

describe('editing', () => {
  const body = {
    current: { value: 41, unit: 'degF' },
    reset_done: true,
    observed_at: '2026-05-10T07:30:42+01:00',
    note: 'cold',
  };
  it('writes nothing for a form that still shows what was there', () => {
    const form = Object.fromEntries(
      (EDITABLE.temperature ?? []).map((field) => [
        field.name,
        fieldText(field, (body as Record<string, unknown>)[field.name], ZONE),
      ]),
    );
    expect(editSet('temperature', body, form, ZONE, 'degC')).toEqual({ set: {}, faults: {} });
  });
  it('keeps the unit a temperature was entered in', () => {
    expect(editSet('temperature', body, { current: '40,5' }, ZONE, 'degC').set).toEqual({
      current: { value: 40.5, unit: 'degF' },
    });
    expect(editSet('temperature', body, { max: '12' }, ZONE, 'degC').set).toEqual({
      max: { value: 12, unit: 'degC' },
    });
  });
  it('clears with null, and gives a moment the offset of its day', () => {
    const form = { note: ' ', observed_at: '2026-01-10T07:30', reset_done: false };
    expect(editSet('temperature', body, form, ZONE, 'degC').set).toEqual({
      note: null,
      observed_at: '2026-01-10T07:30:00+00:00',
      reset_done: false,
    });
  });
  it.each([
    ['many', 'not_a_number'],
    ['2.5', 'not_whole'],
    ['10000', 'out_of_range'],
    ['-1', 'out_of_range'],
  ])('a count cannot be %s', (text, fault) => {
    expect(editSet('slug_count', {}, { count: text }, ZONE, 'degC')).toEqual({
      set: {},
      faults: { count: fault },
    });
  });
  it.each([
    [{ state: 'none_found' }, { count: '6' }, { count: 6, state: 'counted' }],
    [{ state: 'counted', count: 6 }, { count: '0' }, { count: 0, state: 'none_found' }],
    [{ state: 'counted', count: 6 }, { state: 'not_turned' }, { state: 'not_turned', count: null }],
    [{ state: 'counted', count: 6 }, { state: 'none_found' }, { state: 'none_found', count: 0 }],
    [{ state: 'counted', count: 6 }, { count: '7' }, { count: 7 }],
  ])('state and number of %o agree after %o', (before, form, set) => {
    expect(editSet('slug_count', before, form, ZONE, 'degC')).toEqual({ set, faults: {} });
  });
  it('does not let a board be counted without a number', () => {
    const { faults } = editSet('slug_count', { state: 'not_turned' }, { state: 'counted' }, ZONE, 'degC');
    expect(faults).toEqual({ count: 'missing' });
  });
  it('refuses half a moment', () => {
    expect(fieldValue({ name: 'observed_at', kind: 'moment' }, '2026-01-10', 'degC', ZONE)).toEqual({
      fault: 'not_a_moment',
    });
  });
});

describe('places and amounts in a record', () => {
  const treatment = {
    place_ids: ['p1', 'p2'],
    amount: { value: 7.5, unit: 'l' },
    observed_at: '2026-05-10T12:00:00+01:00',
  };
  const edited = (form: Record<string, string>) => editSet('treatment', treatment, form, ZONE, 'degC');

  it('are changed one place at a time, and an untouched list is not written', () => {
    expect(edited({ place_ids: 'p1 p2' }).set).toEqual({});
    expect(edited({ place_ids: 'p1 p2 p3' }).set).toEqual({ place_ids: ['p1', 'p2', 'p3'] });
    expect(edited({ control_place_ids: 'p4' }).set).toEqual({ control_place_ids: ['p4'] });
    expect(edited({ place_ids: '' }).set).toEqual({ place_ids: null });
  });
  it('keep the unit the amount was entered in', () => {
    expect(edited({ amount: '8' }).set).toEqual({ amount: { value: 8, unit: 'l' } });
    expect(edited({ amount: '-1' }).faults).toEqual({ amount: 'out_of_range' });
  });
  it('a catch of beetles is corrected as one, its state with its number', () => {
    const body = { state: 'counted', beetles: 12 };
    expect(editSet('trap_catch', body, { beetles: '0' }, ZONE, 'degC').set).toEqual({
      beetles: 0,
      state: 'none_found',
    });
    const names = fieldsOf('trap_catch', body).map(({ name }) => name);
    expect(names).toContain('beetles');
    expect(names).not.toContain('wireworms');
    expect(fieldsOf('trap_catch', { state: 'counted', wireworms: 2 }).map(({ name }) => name)).not.toContain(
      'beetles',
    );
  });

  it('of a crop is one place', () => {
    expect(editSet('crop', { place_id: 'p1' }, { place_id: 'p2' }, ZONE, 'degC').set).toEqual({
      place_id: 'p2',
    });
  });
});
