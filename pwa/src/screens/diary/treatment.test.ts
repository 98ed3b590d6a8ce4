import { describe, expect, it } from 'vitest';
import {
  areaOfPlaces,
  areaTaken,
  cautionsFor,
  drenchAdvice,
  emptyTreatment,
  harvestFrom,
  isBlank,
  lastTime,
  rateOf,
  TREATMENT_KINDS,
  treatmentFaults,
  treatmentSet,
} from './treatment';

const draft = { ...emptyTreatment('2026-05-10', '19:00'), kind: 'pellets' as const, place_ids: ['p1'] };
const AT = { observed_at: 'T', observer: 'Kit', unit: 'degC' };

describe('a treatment', () => {
  it('wants what, where and, of pellets, which', () => {
    expect(treatmentFaults(emptyTreatment('2026-05-10', '19:00'))).toEqual(['kind', 'places']);
    expect(treatmentFaults(draft)).toEqual(['product']);
    expect(treatmentFaults({ ...draft, product: 'X' })).toEqual([]);
  });
  it('refuses half days, negative areas and a place both treated and left alone', () => {
    const wrong = {
      ...draft,
      product: 'X',
      harvest_interval_days: '2.5',
      area: '-3',
      control_place_ids: ['p1'],
    };
    expect(treatmentFaults(wrong)).toEqual(['harvest_interval_days', 'area', 'control']);
  });
  it('counts the harvest interval from the day of treatment', () => {
    expect(harvestFrom({ day: '2026-05-28', harvest_interval_days: '7' })).toBe('2026-06-04');
    expect(harvestFrom({ day: '2026-05-28', harvest_interval_days: '0' })).toBe('2026-05-28');
    expect(harvestFrom({ day: '2026-05-28', harvest_interval_days: '' })).toBeUndefined();
  });
  it('adds up areas only when all are known', () => {
    const areas = new Map([
      ['a', 3.6],
      ['b', 4.4],
      ['c', undefined],
    ]);
    expect(areaOfPlaces(['a', 'b'], areas)).toBeCloseTo(8, 12);
    expect(areaOfPlaces(['a', 'c'], areas)).toBeUndefined();
    expect(areaOfPlaces([], areas)).toBeUndefined();
  });
  it('takes the area with the places, but not over one that was typed, and leaves no place alone that is treated', () => {
    const beds = [
      { id: 'a', length_m: 6, width_m: 1.5 },
      { id: 'b', length_m: 5, width_m: 1.2 },
      { id: 'c' },
    ];
    const none = { ...emptyTreatment('2026-05-10', '19:00'), control_place_ids: ['b', 'c'] };
    const one = { ...none, ...areaTaken(none, ['a'], beds) };
    expect(one).toMatchObject({ area: '9', control_place_ids: ['b', 'c'] });
    const two = { ...one, ...areaTaken(one, ['a', 'b'], beds) };
    expect(two).toMatchObject({ area: '15', control_place_ids: ['c'] });
    expect(areaTaken({ ...two, area: '7' }, ['a'], beds)).not.toHaveProperty('area');
    expect(areaTaken(two, ['a', 'b', 'c'], beds).area).toBe('');
  });
  it('says how much went on a square metre: a pack of 30 million on 100 m² is the full dose of the table', () => {
    expect(rateOf({ amount: '30', area: '100' })).toBeCloseTo(0.3, 12);
    expect(rateOf({ amount: '30', area: '' })).toBeUndefined();
    expect(rateOf({ amount: '0', area: '100' })).toBeUndefined();
  });
  it('writes what was filled in and nothing else', () => {
    const full = { ...draft, product: ' Ferric ', harvest_interval_days: '0', amount: '50', area: '10' };
    expect(treatmentSet(full, AT)).toEqual({
      kind: 'pellets',
      place_ids: ['p1'],
      observed_at: 'T',
      product: 'Ferric',
      harvest_interval_days: 0,
      area_m2: 10,
      amount: { value: 50, unit: 'g' },
      observer: 'Kit',
    });
    expect(treatmentSet({ ...full, kind: 'mulch' }, AT)).not.toHaveProperty('product');
  });
  it('has its cautions: metaldehyde with pellets, an untreated control with a brew', () => {
    expect(cautionsFor('pellets')).toContain('metaldehyde');
    expect(cautionsFor('brew')).toEqual(
      expect.arrayContaining(['brew_unproven', 'brew_control', 'brew_move', 'leaves', 'gloves']),
    );
    for (const kind of TREATMENT_KINDS) expect(cautionsFor(kind).length).toBeGreaterThan(0);
  });
});

// Limits from the instructions of UK suppliers of slug nematodes: soil from 5 °C, moist, again after six weeks.
describe('advice on a drench', () => {
  const wet = { ...draft, kind: 'nematodes' as const, soil: '12', moisture: 'wet' as const };
  const known = { unit: 'degC', under_cover: false };
  it('waits for soil temperature and moisture', () => {
    expect(drenchAdvice({ ...wet, moisture: '' }, known)).toBeUndefined();
    expect(drenchAdvice({ ...wet, kind: 'mulch' }, known)).toBeUndefined();
  });
  it.each([
    [{ soil: '5' }, {}, 'go'],
    [{ soil: '4.9' }, {}, 'no'],
    [{ moisture: 'dry' as const }, {}, 'no'],
    [{}, { days_since_last: 41 }, 'wait'],
    [{}, { days_since_last: 42 }, 'go'],
    [{ day: '2026-12-10' }, {}, 'no'],
    [{ day: '2026-12-10' }, { under_cover: true }, 'go'],
  ])('%o %o: %s', (set, more, verdict) => {
    expect(drenchAdvice({ ...wet, ...set }, { ...known, ...more })?.verdict).toBe(verdict);
  });
});

describe('the product of last time', () => {
  const used = (kind: string, day: string, more: Record<string, unknown>) => ({
    body: { kind, observed_at: `${day}T18:00:00+01:00`, ...more },
  });
  it('is the newest of the same kind, with what its label said', () => {
    const treatments = [
      used('pellets', '2026-05-01', {
        product: 'Ferric',
        authorisation_number: 'M 1',
        harvest_interval_days: 0,
      }),
      used('pellets', '2026-04-01', { product: 'Old' }),
      used('nematodes', '2026-05-09', { product: 'Nema' }),
      { ...used('pellets', '2026-05-10', { product: 'Gone' }), deleted: true },
      used('pellets', '2026-05-11', {}),
    ];
    expect(lastTime('pellets', treatments)?.set).toMatchObject({
      product: 'Ferric',
      authorisation_number: 'M 1',
      harvest_interval_days: '0',
    });
    expect(lastTime('other', treatments)).toBeUndefined();
  });
  it('offers the amount, and on how much ground it went, of kinds without a label too', () => {
    const treatments = [
      used('mulch', '2026-05-01', { amount: { value: 40, unit: 'l' }, area_m2: 6 }),
      used('nematodes', '2026-05-02', {
        product: 'Nema',
        amount: { value: 6, unit: 'million' },
        water_l: 12,
      }),
    ];
    const nothing = { product: '', authorisation_number: '', harvest_interval_days: '' };
    expect(lastTime('mulch', treatments)).toEqual({
      set: { ...nothing, amount: '40', amount_unit: 'l', water: '' },
      area: 6,
    });
    expect(lastTime('nematodes', treatments)).toEqual({
      set: { ...nothing, product: 'Nema', amount: '6', amount_unit: 'million', water: '12' },
    });
  });
  it('is offered while nothing is typed', () => {
    const draft = emptyTreatment('2026-05-03', '08:00');
    expect(isBlank(draft)).toBe(true);
    expect(isBlank({ ...draft, water: '5' })).toBe(false);
  });
});
