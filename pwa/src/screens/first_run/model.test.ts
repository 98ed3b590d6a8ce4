import { describe, expect, it } from 'vitest';
import {
  addBoards,
  addPlaces,
  addThermometer,
  dropLastBoard,
  dropPlace,
  emptyDraft,
  faultsOf,
  moved,
  pairingCode,
  recordsOf,
} from './model';

const PLACE_NAMES = { bed: 'Bed', tunnel: 'Tunnel', frame: 'Frame', open_ground: 'Open ground' };
const THERMO_NAMES = { screen: 'Outside air', under_cover: 'Under cover', soil: 'Soil' };

function ids() {
  let n = 0;
  return () => {
    n += 1;
    return `id-${n}`;
  };
}

describe('pairing code', () => {
  it.each([
    ['https://plot.example/#pair=AB12CD', 'AB12CD'],
    ['#pair=AB12-CD', 'AB12-CD'],
    ['#lang=en&pair=AB12CD', 'AB12CD'],
    [' ab12 cd34 ', 'ab12 cd34'],
    ['', undefined],
    ['https://plot.example/', undefined],
  ])('%s', (text, expected) => expect(pairingCode(text)).toBe(expected));
});

describe('the four questions', () => {
  const next = ids();
  let draft = emptyDraft('Europe/London', 'en-GB');

  it('asks who counts before anything else', () => {
    expect(faultsOf(draft, 'who')).toEqual([{ key: 'observer' }]);
    expect(faultsOf({ ...draft, observer: 'Kit' }, 'who')).toEqual([]);
  });

  it('lets the location be left out, but not half of it', () => {
    const named = { ...draft, name: 'Top field' };
    expect(faultsOf(named, 'where')).toEqual([]);
    expect(faultsOf({ ...named, latitude: '51.5' }, 'where')).toEqual([{ key: 'longitude' }]);
    expect(faultsOf({ ...named, latitude: '91', longitude: '0' }, 'where')).toEqual([{ key: 'latitude' }]);
    expect(faultsOf({ ...named, time_zone: 'Mars/Olympus' }, 'where')).toEqual([{ key: 'time_zone' }]);
  });

  it('adds beds by number and never gives a label twice', () => {
    draft = addPlaces(draft, 'bed', PLACE_NAMES, 3, next);
    draft = addPlaces(draft, 'tunnel', PLACE_NAMES, 1, next);
    draft = addPlaces(draft, 'tunnel', PLACE_NAMES, 1, next);
    expect(draft.places.map((p) => p.label)).toEqual(['Bed 1', 'Bed 2', 'Bed 3', 'Tunnel', 'Tunnel 1']);
  });

  it('asks for a size that can be a size', () => {
    const [first, ...rest] = draft.places;
    if (!first) throw new Error('no place');
    const wrong = { ...draft, places: [{ ...first, length: 'wide' }, ...rest] };
    expect(faultsOf(wrong, 'places')).toEqual([{ key: 'place_size', id: first.id }]);
    expect(faultsOf({ ...draft, places: [{ ...first, length: '' }] }, 'places')).toEqual([]);
  });

  it('adds boards, drops the newest of a place, and moves one in the walk', () => {
    draft = addBoards(draft, 'id-1', 3, next);
    draft = addBoards(draft, 'id-2', 1, next);
    draft = dropLastBoard(draft, 'id-1');
    expect(draft.boards.map((b) => b.label)).toEqual(['B1', 'B2', 'B4']);
    draft = { ...draft, boards: moved(draft.boards, 2, -2) };
    expect(draft.boards.map((b) => b.label)).toEqual(['B4', 'B1', 'B2']);
    expect(moved([1, 2], 0, -1)).toEqual([1, 2]);
  });

  it('puts a covered thermometer into the tunnel and gives a soil one its depth', () => {
    draft = addThermometer(draft, 'under_cover', THERMO_NAMES, next);
    draft = addThermometer(draft, 'soil', THERMO_NAMES, next);
    expect(draft.thermometers.map((t) => [t.place_id, t.depth_cm])).toEqual([
      ['id-4', ''],
      ['id-1', '10'],
    ]);
    const soil = draft.thermometers[1];
    if (!soil) throw new Error('no thermometer');
    const wrong = { ...draft, thermometers: [{ ...soil, depth_cm: '0' }] };
    expect(faultsOf(wrong, 'thermometers')).toEqual([{ key: 'depth', id: soil.id }]);
  });

  it('writes plot, places and stations, boards in walking order, and the same ids every time', () => {
    const ready = { ...draft, name: ' Top field ', latitude: '51,5', longitude: '-1.2' };
    const records = recordsOf(ready, 'plot-1', '2026-03-01');
    expect(records[0]).toEqual({
      type: 'plot',
      id: 'plot-1',
      set: {
        name: 'Top field',
        time_zone: 'Europe/London',
        units: { temperature: 'degC' },
        reading_habit: 'morning',
        latitude: 51.5,
        longitude: -1.2,
        exact_location: false,
      },
    });
    const boards = records.filter((r) => r.set.kind === 'slug_board');
    expect(boards.map((r) => [r.set.label, r.set.walk_order, r.set.place_id])).toEqual([
      ['B4', 1, 'id-2'],
      ['B1', 2, 'id-1'],
      ['B2', 3, 'id-1'],
    ]);
    expect(records.find((r) => r.set.exposure === 'soil')?.set.depth_m).toBeCloseTo(0.1, 12);
    expect(recordsOf(ready, 'plot-1', '2026-03-01')).toEqual(records);
  });

  it('takes what lies in a place out with it', () => {
    const less = dropPlace(draft, 'id-1');
    expect(less.boards.map((b) => b.label)).toEqual(['B4']);
    expect(less.thermometers.map((t) => t.exposure)).toEqual(['under_cover']);
  });

  it('offers Fahrenheit where it is read', () => {
    expect(emptyDraft('America/Chicago', 'en-US').temperature).toBe('degF');
    expect(emptyDraft('Europe/Berlin', 'de-DE').temperature).toBe('degC');
  });
});
