import { describe, expect, it } from 'vitest';
import { flawsOf, nearest } from './flaws';
import { type Board, type Place, type Trial, unitsOf, windowsOf } from './model';

const rectangle = (x: number, y: number, across: number, along: number): [number, number][] => [
  [x, y],
  [x + across, y],
  [x + across, y + along],
  [x, y + along],
];
const PLACES: Place[] = [
  { id: 'p1', label: 'Bed 1', outline: rectangle(0, 0, 1.2, 5) },
  { id: 'p2', label: 'Bed 2', outline: rectangle(1.8, 0, 1.2, 5) },
  { id: 'p3', label: 'Bed 3', outline: rectangle(6, 8, 1.2, 5) },
  { id: 'p4', label: 'Bed 4', outline: rectangle(10, 8, 1.2, 5) },
];
const BOARDS: Board[] = PLACES.flatMap(({ id }) =>
  Array.from({ length: 3 }, (_, n) => ({ id: `${id}b${n}`, label: `${id} ${n}`, place_id: id })),
);
const GOOD: Trial = {
  id: 't',
  kind: 'nematodes',
  treated_ids: ['p1', 'p3'],
  control_ids: ['p4'],
  allocation: 'random',
  ...windowsOf('nematodes', '2026-05-06', { before: 4, after: 6 }),
};
const kinds = (set: Partial<Trial>, more: Partial<Parameters<typeof flawsOf>[2]> = {}) => {
  const trial = { ...GOOD, ...set };
  const known = { places: PLACES, treatments: [], today: '2026-04-10', ...more };
  return flawsOf(trial, unitsOf(trial, PLACES, BOARDS), known).map(({ kind }) => kind);
};

describe('what speaks against a trial', () => {
  const sides = { treated_ids: ['p1', 'p2'], control_ids: ['p3', 'p4'] };
  it('nothing, when it is well laid', () => expect(kinds(sides)).toEqual([]));
  it.each([
    ['no control', { ...sides, control_ids: [] }, ['no_control']],
    ['one pair of few boards', { treated_ids: ['p1'], control_ids: ['p4'] }, ['one_pair', 'few_boards']],
    ['a neighbour 0.6 m off', { treated_ids: ['p1', 'p3'], control_ids: ['p2', 'p4'] }, ['near']],
    ['counted too early', { ...sides, after_from: '2026-05-10' }, ['window_early']],
    ['counted too late', { ...sides, after_to: '2026-07-10' }, ['window_late']],
    ['no weeks before', { ...sides, before_from: '2026-05-06' }, ['no_before']],
    ['before goes past the treatment', { ...sides, before_to: '2026-05-08' }, ['before_late']],
    ['a hand chose', { ...sides, allocation: 'chosen' as const }, ['chosen']],
    ['a bed without boards', { ...sides, control_ids: ['p3', 'p4', 'p9'] }, ['no_boards']],
  ])('%s', (_, set, wanted) => expect(kinds(set)).toEqual(wanted));
  it('another treatment of the same weeks, but not its own', () => {
    const treatment = { id: 'x', kind: 'mulch', day: '2026-05-20', place_ids: ['p3'] };
    expect(kinds(sides, { treatments: [treatment] })).toEqual(['mixed']);
    expect(kinds({ ...sides, treatment_ids: ['x'] }, { treatments: [treatment] })).toEqual([]);
    expect(kinds(sides, { treatments: [{ ...treatment, day: '2026-08-01' }] })).toEqual([]);
  });
  it('that nobody counted before', () => {
    const counted = { rows: [], units: [], n_left_out: 0 };
    expect(kinds(sides, { counted, today: '2026-05-20' })).toEqual(['no_before']);
    expect(kinds(sides, { counted, today: '2026-04-10' })).toEqual([]);
  });
  it('measures between the edges', () => {
    const [one, two] = unitsOf({ id: 't', treated_ids: ['p1'], control_ids: ['p3'] }, PLACES, BOARDS);
    // From the corner (1.2, 5) to the corner (6, 8): the root of 4.8² + 3².
    expect(nearest(one ? [one] : [], two ? [two] : [], PLACES)?.metres).toBeCloseTo(Math.hypot(4.8, 3), 9);
  });
});
