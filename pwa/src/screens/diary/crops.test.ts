import { describe, expect, it } from 'vitest';
import { cropDamage } from '../../domain/crop_damage';
import { RECORD_FIELDS } from '../../generated/api';
import {
  BEGINNINGS,
  cropFaults,
  cropItems,
  cropStories,
  emptyCrop,
  emptyStep,
  HAPPENINGS,
  lastOfKind,
  STAGES,
  stageCode,
  stageText,
  stepFaults,
  stepItems,
} from './crops';
import type { DiaryView } from './model';

const ZONE = 'Europe/London';
const view = (id: string, type: string, body: Record<string, unknown>): DiaryView => ({ id, type, body });
const crop = (id: string, body: Record<string, unknown>) =>
  view(id, 'crop', { kind: 'Potato', place_id: 'p1', ...body });
const event = (id: string, crop_id: string, what: string, day: string, more = {}) =>
  view(id, 'crop_event', { crop_id, what, observed_at: `${day}T12:00:00Z`, ...more });
const AT = { observed_at: '2026-05-10T12:00:00+01:00', observer: 'Kit' };
const ids = () => {
  let n = 0;
  return () => `id${++n}`;
};

describe('the story of a crop', () => {
  const potato = crop('c1', { started_on: '2026-02-10', variety: 'Charlotte', seed_batch: '2026/4' });
  const events = [
    event('e3', 'c1', 'harvested', '2026-07-01', { kg: 2.5 }),
    event('e1', 'c1', 'chitted', '2026-02-10', { place_id: 'p1' }),
    event('e2', 'c1', 'planted', '2026-04-01', { place_id: 'p2' }),
    event('e4', 'c1', 'harvested', '2026-07-08', { kg: 3, count: 12 }),
    event('x', 'other', 'sown', '2026-03-01'),
  ];
  it('goes from chitting to harvest, with days since the start', () => {
    const [story] = cropStories([potato], events, ZONE);
    expect(story?.steps.map((step) => [step.what, step.day, step.since])).toEqual([
      ['chitted', '2026-02-10', 0],
      ['planted', '2026-04-01', 50],
      ['harvested', '2026-07-01', 141],
      ['harvested', '2026-07-08', 148],
    ]);
  });
  it('sums what was harvested and knows where the crop was planted out', () => {
    const [story] = cropStories([potato], events, ZONE);
    expect(story).toMatchObject({ kg: 5.5, pieces: 12, place_id: 'p2' });
    expect(story?.steps.map((step) => step.moved_to)).toEqual([undefined, 'p2', undefined, undefined]);
  });
  it('counts days by the plot\u2019s own calendar', () => {
    const late = view('e', 'crop_event', {
      crop_id: 'c1',
      what: 'planted',
      observed_at: '2026-04-30T23:30:00Z',
    });
    expect(cropStories([potato], [late], ZONE)[0]?.steps[0]?.day).toBe('2026-05-01');
  });
  it('shows growing crops first and leaves deleted records out', () => {
    const old = crop('c0', { started_on: '2026-03-01', ended_on: '2026-08-01' });
    const gone = { ...crop('c9', {}), deleted: true };
    const undone = { ...event('e9', 'c1', 'covered', '2026-03-01'), deleted: true };
    const stories = cropStories([old, gone, potato], [undone], ZONE);
    expect(stories.map(({ id, steps }) => [id, steps.length])).toEqual([
      ['c1', 0],
      ['c0', 0],
    ]);
  });
});

describe('starting a crop', () => {
  it('wants a name, and no day to come', () => {
    expect(cropFaults(emptyCrop('2026-05-10'), '2026-05-10')).toEqual(['kind']);
    expect(cropFaults({ ...emptyCrop('2026-05-11'), kind: 'Leek' }, '2026-05-10')).toEqual(['day']);
  });
  it('makes one crop and its first step for each place', () => {
    const draft = {
      ...emptyCrop('2026-05-10'),
      kind: ' Leek ',
      variety: 'Musselburgh',
      place_ids: ['p3', 'p4'],
    };
    const items = cropItems(draft, AT, ids());
    expect(items.map(({ type, id }) => `${type} ${id}`)).toEqual([
      'crop id1',
      'crop_event id2',
      'crop id3',
      'crop_event id4',
    ]);
    expect(items[2]?.set).toEqual({
      place_id: 'p4',
      kind: 'Leek',
      variety: 'Musselburgh',
      started_on: '2026-05-10',
    });
    expect(items[3]?.set).toEqual({ crop_id: 'id3', what: 'sown', place_id: 'p4', ...AT });
  });
  it('needs no place', () => {
    const items = cropItems({ ...emptyCrop('2026-02-10'), kind: 'Potato', begin: 'chitted' }, AT, ids());
    expect(items).toHaveLength(2);
    expect(items[0]?.set).toEqual({ kind: 'Potato', started_on: '2026-02-10' });
  });
  it('offers what the same crop was last time', () => {
    const crops = [
      crop('a', { variety: 'Charlotte', seed_batch: '2026/4', started_on: '2026-02-10' }),
      crop('b', { variety: 'Sharpe\u2019s Express', started_on: '2025-02-10' }),
      crop('d', { kind: 'Leek', variety: 'Musselburgh', started_on: '2026-03-10' }),
    ];
    expect(lastOfKind(crops, ' potato')).toEqual({ variety: 'Charlotte', seed_batch: '2026/4' });
    expect(lastOfKind(crops, 'Swede')).toBeUndefined();
  });
});

describe('what happens to a crop', () => {
  const step = (more: Partial<ReturnType<typeof emptyStep>>) => ({ ...emptyStep('2026-05-10'), ...more });
  it('has to be said, with the stage or the harvest', () => {
    const faults = (more: Parameters<typeof step>[0]) => stepFaults(step(more), '2026-05-10', '2026-03-01');
    expect(faults({})).toEqual(['what']);
    expect(faults({ what: 'stage' })).toEqual(['stage']);
    expect(faults({ what: 'harvested' })).toEqual(['harvest']);
    expect(faults({ what: 'harvested', kg: 'lots', count: '2.5' })).toEqual(['kg', 'count']);
    expect(faults({ what: 'harvested', kg: '2,4' })).toEqual([]);
    expect(faults({ what: 'covered', day: '2026-05-11' })).toEqual(['day']);
    expect(faults({ what: 'covered', day: '2026-02-11' })).toEqual(['before']);
  });
  it('is written for several crops at once, but never a harvest', () => {
    const also = ['c2', 'c3'];
    const earthed = stepItems(step({ what: 'earthed_up', also }), 'c1', new Map(), AT, ids());
    expect(earthed.map(({ set }) => set.crop_id)).toEqual(['c1', 'c2', 'c3']);
    const dug = stepItems(step({ what: 'harvested', kg: '2,4', also }), 'c1', new Map(), AT, ids());
    expect(dug.map(({ set }) => set)).toEqual([{ crop_id: 'c1', what: 'harvested', kg: 2.4, ...AT }]);
  });
  it('closes the crop itself when it is cleared', () => {
    const items = stepItems(step({ what: 'cleared', also: ['c2'] }), 'c1', new Map(), AT, ids());
    expect(items).toEqual([
      { type: 'crop', id: 'c1', set: { ended_on: '2026-05-10' } },
      { type: 'crop', id: 'c2', set: { ended_on: '2026-05-10' } },
    ]);
  });
  it('takes a weight or a place only where they belong', () => {
    const moved = step({ what: 'covered', kg: '2', place_id: 'p9', stage: '6' });
    expect(stepItems(moved, 'c1', new Map(), AT, ids())[0]?.set).toEqual({
      crop_id: 'c1',
      what: 'covered',
      ...AT,
    });
  });
  it('is of the server\u2019s own kinds, every one', () => {
    const known = RECORD_FIELDS.crop_event.what?.choices;
    expect(HAPPENINGS.filter((what) => what !== 'cleared').sort()).toEqual([...(known ?? [])].sort());
    expect(BEGINNINGS.every((what) => known?.includes(what))).toBe(true);
  });
});

describe('growth stages', () => {
  it('are read back by their number, and typed words stay words', () => {
    for (const [code] of STAGES) expect(stageCode(stageText(code))).toBe(code);
    expect(stageCode('two leaves')).toBeUndefined();
    expect(stageCode(undefined)).toBeUndefined();
  });
  // PubMed Central PMC10202904, Table 2: strawberry leaves bear -4 °C, its flowers -2 °C; so do heads of broccoli.
  it('say to the frost table when a crop is in flower or in head', () => {
    expect(cropDamage('strawberry', stageText('1')).critical_c).toBe(-4);
    expect(cropDamage('strawberry', stageText('5')).critical_c).toBe(-2);
    expect(cropDamage('strawberry', stageText('6')).critical_c).toBe(-2);
    expect(cropDamage('broccoli', stageText('4')).critical_c).toBe(-2);
  });
});
