import { describe, expect, it } from 'vitest';
import { between, quickChoices, withAll } from './bulk';

const places = ['bed', 'bed', 'path', 'bed', 'bed'].map((kind, i) => ({
  id: `p${i + 3}`,
  label: `${kind} ${i + 3}`,
  kind,
}));

describe('the same for several', () => {
  it('fills from bed 3 to bed 7, and no path between them', () => {
    expect(between(places, ['p3', 'p7']).map(({ id }) => id)).toEqual(['p4', 'p6']);
    expect(between(places, ['p4'])).toEqual([]);
    expect(between(places, [])).toEqual([]);
  });
  it('ticks a whole kind or all', () => {
    expect(quickChoices(places)).toEqual([
      { kind: 'bed', ids: ['p3', 'p4', 'p6', 'p7'] },
      { kind: undefined, ids: ['p3', 'p4', 'p5', 'p6', 'p7'] },
    ]);
    expect(quickChoices(places.slice(0, 2))).toEqual([{ kind: 'bed', ids: ['p3', 'p4'] }]);
    expect(quickChoices([])).toEqual([]);
  });
  it('keeps what was ticked, each once and in the order of the list', () => {
    expect(withAll(places, ['p7', 'p3'], ['p4', 'p3'])).toEqual(['p3', 'p4', 'p7']);
  });
});
