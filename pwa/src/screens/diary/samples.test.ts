import { describe, expect, it } from 'vitest';
import {
  damageFaults,
  damageSet,
  densityOf,
  draftShare,
  emptyDamage,
  emptySoil,
  shareOf,
  soilFaults,
  soilSet,
} from './samples';

const AT = { observed_at: '2026-07-01T12:00:00+01:00', observer: 'Kit' };
const TODAY = '2026-07-01';
const damage = { ...emptyDamage(TODAY, 'crop:c1'), examined: '40', damaged: '3', cause: 'Slugs' };
const soil = {
  ...emptySoil(TODAY, []),
  place_ids: ['p1'],
  cores: '20',
  diameter_cm: '10',
  depth_cm: '20',
  found: { p1: '2' } as Record<string, string>,
};

describe('damage', () => {
  it('wants a crop or place and numbers that fit each other', () => {
    expect(damageFaults(emptyDamage(TODAY), TODAY)).toEqual(['subject', 'examined', 'damaged']);
    expect(damageFaults({ ...damage, damaged: '41' }, TODAY)).toEqual(['damaged']);
    expect(damageFaults({ ...damage, examined: '0', damaged: '0' }, TODAY)).toEqual(['examined']);
    expect(damageFaults({ ...damage, day: '2026-07-02' }, TODAY)).toEqual(['day']);
    expect(damageFaults(damage, TODAY)).toEqual([]);
  });
  // statsmodels 0.15.0, proportion_confint(3, 40, method="wilson").
  it('says what share of the whole is likely', () => {
    expect(draftShare(damage)?.percent).toBe(7.5);
    expect(draftShare(damage)?.low).toBeCloseTo(2.5836, 3);
    expect(draftShare(damage)?.high).toBeCloseTo(19.8642, 3);
  });
  // None of 40: at most 1 - 0.05^(1/40), the exact form of the rule of three.
  it('does not take none for nothing', () => {
    expect(shareOf(0, 40)?.up_to).toBeCloseTo(7.21575, 4);
    expect(shareOf(3, 40)?.up_to).toBeUndefined();
    expect(draftShare({ ...damage, damaged: '' })).toBeUndefined();
    expect(shareOf(5, 4)).toBeUndefined();
  });
  it('of a crop names the place it stands in', () => {
    expect(damageSet(damage, AT, new Map([['c1', 'p7']]))).toEqual({
      crop_id: 'c1',
      place_id: 'p7',
      cause: 'Slugs',
      examined: 40,
      damaged: 3,
      ...AT,
    });
    expect(damageSet({ ...damage, subject: 'place:p2', cause: '' }, AT, new Map())).toEqual({
      place_id: 'p2',
      examined: 40,
      damaged: 3,
      ...AT,
    });
  });
});

describe('a soil sample', () => {
  it('wants a place, cores, their width and what was found', () => {
    expect(soilFaults(emptySoil(TODAY, []), TODAY)).toEqual(['place', 'cores', 'diameter']);
    expect(soilFaults({ ...soil, depth_cm: 'deep' }, TODAY)).toEqual(['depth']);
    expect(soilFaults(soil, TODAY)).toEqual([]);
  });
  it('of several places has a find for each, nought said like any other', () => {
    const two = { ...soil, place_ids: ['p1', 'p2'] };
    expect(soilFaults(two, TODAY)).toEqual(['found']);
    const said = { ...two, found: { p1: '2', p2: '0', p9: 'old' } };
    expect(soilFaults(said, TODAY)).toEqual([]);
    expect(two.place_ids.map((id) => soilSet(said, AT, id))).toMatchObject([
      { place_id: 'p1', found: 2, cores: 20 },
      { place_id: 'p2', found: 0, cores: 20 },
    ]);
  });
  it('is kept in metres', () => {
    expect(soilSet({ ...soil, diameter_cm: '6,5' }, AT, 'p1')).toEqual({
      place_id: 'p1',
      cores: 20,
      core_diameter_m: 0.065,
      depth_m: 0.2,
      found: 2,
      method: 'hand_sort',
      ...AT,
    });
  });
  it('begins with the corer, the depth and the method of the last one', () => {
    const at = (id: string, observed_at: string, body: Record<string, unknown>) => ({
      id,
      type: 'soil_sample',
      body: { observed_at, ...body },
    });
    const old = at('a', '2026-03-01T12:00:00Z', { cores: 5, core_diameter_m: 0.15, method: 'hand_sort' });
    const last = at('b', '2026-04-01T12:00:00Z', {
      cores: 20,
      core_diameter_m: 0.07,
      depth_m: 0.15,
      method: 'wash',
      found: 4,
    });
    expect(emptySoil(TODAY, [last, old])).toEqual({
      ...emptySoil(TODAY, []),
      cores: '20',
      diameter_cm: '7',
      depth_cm: '15',
      method: 'wash',
    });
  });
  // 2 in 20 cores of 10 cm, 0.15708 m², 2 of 5 found by hand; limits of Garwood by scipy 1.17.1 (chi2.ppf).
  it('says how many there are in a square metre', () => {
    const found = densityOf(soilSet(soil, AT, 'p1'));
    expect(found?.area_m2).toBeCloseTo(0.15708, 6);
    expect(found?.per_m2).toBeCloseTo(31.831, 3);
    expect(found?.low).toBeCloseTo(3.855, 3);
    expect(found?.high).toBeCloseTo(114.984, 3);
  });
  it('does not take none for nothing', () => {
    expect(densityOf(soilSet({ ...soil, found: { p1: '0' } }, AT, 'p1'))?.up_to).toBeCloseTo(47.6786, 3);
    expect(densityOf({ cores: 20, found: 0 })).toBeUndefined();
  });
});
