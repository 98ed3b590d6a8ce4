import { describe, expect, it } from 'vitest';
import {
  areaOf,
  changedOnly,
  inWalkingOrder,
  isRetired,
  nextWalkOrder,
  placeFaults,
  placeForm,
  placeSet,
  plotRows,
  stationFaults,
  stationForm,
  stationSet,
  walkOrderChanges,
} from './model';

const boards = [
  { id: 'a', label: 'B1', walk_order: 1 },
  { id: 'b', label: 'B2', walk_order: 2 },
  { id: 'c', label: 'B10', walk_order: 3 },
];

describe('the walk', () => {
  it('goes by order, then by label as a person counts', () => {
    const loose = [{ id: 'x', label: 'B10' }, { id: 'y', label: 'B9' }, ...boards];
    expect(inWalkingOrder(loose).map((b) => b.id)).toEqual(['a', 'b', 'c', 'y', 'x']);
    expect(nextWalkOrder(loose)).toBe(4);
    expect(nextWalkOrder([])).toBe(1);
  });
  it('writes only the numbers that change', () => {
    expect(walkOrderChanges(boards, 'c', -1)).toEqual([
      { id: 'c', walk_order: 2 },
      { id: 'b', walk_order: 3 },
    ]);
    expect(walkOrderChanges(boards, 'a', -1)).toEqual([]);
    expect(walkOrderChanges(boards, 'c', 1)).toEqual([]);
  });
  it('mends gaps and doubles on the way', () => {
    const messy = [
      { id: 'a', label: '1', walk_order: 4 },
      { id: 'b', label: '2', walk_order: 4 },
    ];
    expect(walkOrderChanges(messy, 'b', -1)).toEqual([
      { id: 'b', walk_order: 1 },
      { id: 'a', walk_order: 2 },
    ]);
  });
});

describe('rows of the plot', () => {
  it('puts beds first, and what has lost its place last', () => {
    const places = [
      { id: 'p2', kind: 'tunnel', label: 'Tunnel' },
      { id: 'p1', kind: 'bed', label: 'Bed 1' },
    ];
    const stations = [
      { id: 's1', place_id: 'p1' },
      { id: 's2', place_id: 'gone' },
    ];
    const rows = plotRows(places, stations);
    expect(rows.map((row) => [row.place?.id, row.stations.map((s) => s.id)])).toEqual([
      ['p1', ['s1']],
      ['p2', []],
      [undefined, ['s2']],
    ]);
  });
  it('knows the area it was told before the one it could reckon', () => {
    expect(areaOf({ id: 'p', length_m: 3, width_m: 1.5 })).toBe(4.5);
    expect(areaOf({ id: 'p', length_m: 3, width_m: 1.5, area_m2: 4 })).toBe(4);
    expect(areaOf({ id: 'p', length_m: 3 })).toBeUndefined();
    const drawn = {
      id: 'p',
      length_m: 3,
      width_m: 1.5,
      outline: [
        [0, 0],
        [2, 0],
        [2, 2],
        [0, 2],
      ] as const,
    };
    expect(areaOf(drawn)).toBe(4);
    expect(areaOf({ ...drawn, area_m2: 3.9 })).toBe(3.9);
  });
  it('retires on the day, not before', () => {
    expect(isRetired({ id: 's', retired_on: '2026-05-02' }, '2026-05-01')).toBe(false);
    expect(isRetired({ id: 's', retired_on: '2026-05-02' }, '2026-05-02')).toBe(true);
    expect(isRetired({ id: 's' }, '2026-05-02')).toBe(false);
  });
});

describe('the forms', () => {
  const place = { id: 'p1', kind: 'bed', label: 'Bed 1', length_m: 3, width_m: 1.2 };
  it('writes nothing when nothing was changed', () => {
    expect(placeSet(placeForm(place), place)).toEqual({});
  });
  it('writes the one thing that was, and null for what was emptied', () => {
    expect(placeSet({ ...placeForm(place), length: '3,5' }, place)).toEqual({ length_m: 3.5 });
    expect(placeSet({ ...placeForm(place), width: '' }, place)).toEqual({ width_m: null });
  });
  it('refuses a missing or a taken name and impossible sizes', () => {
    const form = { ...placeForm(place), label: ' bed 2 ' };
    expect(placeFaults(form, [{ id: 'p2', label: 'Bed 2' }], 2026)).toEqual(['label_taken']);
    expect(placeFaults({ ...form, label: '', length: '-1', broken_year: '2027' }, [], 2026)).toEqual([
      'label',
      'length',
      'broken_year',
    ]);
  });
  it('wants a place and, in the soil, a depth', () => {
    const form = {
      ...stationForm(undefined, ''),
      kind: 'thermometer' as const,
      label: 'T',
      exposure: 'soil',
    };
    expect(stationFaults(form, [], '2026-05-01')).toEqual(['place', 'depth']);
    expect(stationFaults({ ...form, place_id: 'p1', depth_cm: '10' }, [], '2026-05-01')).toEqual([]);
  });
  it('lets a retired board\u2019s name be used again', () => {
    const form = { ...stationForm(undefined, 'p1'), label: 'B1' };
    const old = { id: 'o', kind: 'slug_board', label: 'B1', retired_on: '2026-04-01' };
    expect(stationFaults(form, [old], '2026-05-01')).toEqual([]);
    expect(stationFaults(form, [{ ...old, retired_on: '2026-06-01' }], '2026-05-01')).toEqual([
      'label_taken',
    ]);
  });
  it('gives a new station its day and turn, an old one only its change', () => {
    const form = { ...stationForm(undefined, 'p1'), label: 'B4', size: '0.15' };
    expect(stationSet(form, undefined, { walk_order: 4, today: '2026-05-01' })).toEqual({
      kind: 'slug_board',
      place_id: 'p1',
      label: 'B4',
      size_m2: 0.15,
      walk_order: 4,
      set_on: '2026-05-01',
    });
    const soil = {
      id: 's',
      kind: 'thermometer',
      place_id: 'p1',
      label: 'Soil',
      exposure: 'soil',
      depth_m: 0.1,
    };
    expect(stationSet(stationForm(soil), soil, { walk_order: 9, today: '2026-05-01' })).toEqual({});
    const spot = { ...soil, x_m: 1, y_m: 2 };
    expect(stationSet(stationForm(spot), spot, { walk_order: 9, today: '2026-05-01' })).toEqual({});
    const elsewhere = { ...stationForm(spot), place_id: 'p2' };
    expect(stationSet(elsewhere, spot, { walk_order: 9, today: '2026-05-01' })).toEqual({
      place_id: 'p2',
      x_m: null,
      y_m: null,
    });
    expect(changedOnly({ a: 1, b: null }, { a: 1 })).toEqual({});
  });
});
