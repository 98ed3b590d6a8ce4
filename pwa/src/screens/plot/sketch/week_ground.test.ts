import { describe, expect, it } from 'vitest';
import { soonAgain, yearsOf } from './history';
import { croppedBeds, grownCrops, soilWeeks, treatedBeds, wormBeds } from './week_ground';

const week = { from: '2026-05-04', to: '2026-05-10' };
const degc = (value: number) => ({ value, unit: 'degC' });

describe('soil', () => {
  it('is what thermometers in the soil showed, in one unit, with its span', () => {
    const stations = [
      { id: 't', place_id: 'A', kind: 'thermometer', exposure: 'soil' },
      { id: 'air', place_id: 'A', kind: 'thermometer', exposure: 'screen' },
    ];
    const readings = [
      { station_id: 't', observed_at: '', current: degc(8) },
      { station_id: 't', observed_at: '', current: { value: 53.6, unit: 'degF' } }, // 12 °C
      { station_id: 'air', observed_at: '', current: degc(25) },
      { station_id: 't', observed_at: '' },
    ];
    const found = soilWeeks(readings, stations).get('A');
    expect(found?.n).toBe(2);
    expect(found?.mean).toBeCloseTo(10, 9);
    expect([found?.low, found?.high].map((value) => Math.round((value ?? 0) * 10) / 10)).toEqual([8, 12]);
  });
});

describe('wireworms', () => {
  const traps = ['A', 'B', 'C'].map((place) => ({ id: `trap ${place}`, place_id: place }));
  const lift = (place: string, wireworms: number, soil: number, on = '2026-04-14') => ({
    id: `${place}${on}`,
    station_id: `trap ${place}`,
    set_at: '2026-04-02T08:00:00+01:00',
    observed_at: `${on}T08:00:00+01:00`,
    state: wireworms > 0 ? 'counted' : 'none_found',
    wireworms,
    soil: degc(soil),
  });
  it('ranks beds by the upper limit of valid lifts; cold ones do not count', () => {
    const { beds, n_ranked } = wormBeds(
      [lift('A', 0, 11), lift('B', 3, 11), lift('C', 0, 6)],
      traps,
      week,
      'Europe/London',
    );
    expect(n_ranked).toBe(2);
    expect(beds.get('A')?.rank).toBe(1);
    expect(beds.get('A')?.summary.high).toBeCloseTo(3.6889, 4); // Garwood 1936 at 0
    expect(beds.get('B')?.rank).toBe(2);
    expect(beds.get('B')?.summary.high).toBeCloseTo(8.7673, 4); // Garwood 1936 at 3
    expect(beds.get('C')).toMatchObject({ summary: { high: null } });
    expect(beds.get('C')?.rank).toBeUndefined();
  });
  it('knows nothing of a lift after the week, or more than a year before', () => {
    const late = lift('A', 1, 11, '2026-05-12');
    const old = {
      ...lift('B', 1, 11),
      set_at: '2025-04-28T08:00:00+01:00',
      observed_at: '2025-05-09T08:00:00+01:00',
    };
    expect(wormBeds([late, old], traps, week, 'Europe/London').beds.size).toBe(0);
  });
});

describe('treatments', () => {
  const done = { id: 't', kind: 'nematodes', day: '2026-04-30', place_ids: ['A'], control_place_ids: ['B'] };
  it('stand for six weeks from their day', () => {
    expect(treatedBeds([done], week).get('A')?.[0]?.days_ago).toBe(10);
    expect(treatedBeds([done], week).has('B')).toBe(false);
    expect(treatedBeds([{ ...done, day: '2026-05-11' }], week).size).toBe(0);
    expect(treatedBeds([{ ...done, day: '2026-03-29' }], week).get('A')?.[0]?.days_ago).toBe(42);
    expect(treatedBeds([{ ...done, day: '2026-03-28' }], week).size).toBe(0);
  });
});

describe('crops', () => {
  const crops = [
    { id: 'p', place_id: 'A', kind: 'Potato', started_on: '2026-02-10' },
    { id: 'q', place_id: 'A', kind: 'potato ', started_on: '2025-04-01', ended_on: '2025-09-01' },
    { id: 'r', place_id: 'A', kind: 'Leek', started_on: '2024-05-01' },
    { id: 'nowhere', kind: 'Bean', started_on: '2026-05-01' },
  ];
  const events = [
    { crop_id: 'p', what: 'chitted', day: '2026-02-10' },
    { crop_id: 'p', what: 'planted', day: '2026-04-06' },
    { crop_id: 'p', what: 'harvested', day: '2026-07-28' },
  ];
  const grown = grownCrops(crops, events);
  it('stand in the bed from planting to harvest: chitting in the shed is not standing there', () => {
    expect(grown.find((crop) => crop.id === 'p')).toMatchObject({ from: '2026-04-06', to: '2026-07-28' });
    expect(
      croppedBeds(grown, week)
        .get('A')
        ?.map((crop) => crop.id),
    ).toContain('p');
    expect(
      croppedBeds(grown, { from: '2026-03-02', to: '2026-03-08' })
        .get('A')
        ?.map((c) => c.id),
    ).not.toContain('p');
  });
  it('make the history of a bed, newest year first, with years from grass', () => {
    const years = yearsOf(grown, { id: 'A', broken_year: 2025 }, 2026);
    expect(years.map(({ year, crops: of }) => [year, of.map((crop) => crop.kind.trim())])).toEqual([
      [2026, ['Potato']],
      [2025, ['potato']],
      [2024, ['Leek']],
    ]);
    expect(years.map((year) => year.from_grass)).toEqual([1, 0, undefined]);
  });
  it('the same again within three years is said', () => {
    expect(soonAgain(grown, 'A')).toEqual([{ kind: 'Potato', years: [2025, 2026] }]);
    expect(soonAgain(grown, 'B')).toEqual([]);
  });
});
