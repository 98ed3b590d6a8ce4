import { expect, test } from 'vitest';
import { beetleSet, beetleTraps, EMPTY_READING, isWrong, withBeetles, withState } from './beetles';

const ZONE = 'Europe/London';
const NOW = new Date('2026-06-15T09:00:00+01:00');
const trap = (id: string) => ({ id, label: id });
const read = (station_id: string, observed_at: string, beetles: number | undefined) => ({
  id: `${station_id} ${observed_at}`,
  station_id,
  observed_at,
  state: beetles === undefined ? 'spoiled' : beetles > 0 ? 'counted' : 'none_found',
  ...(beetles === undefined ? {} : { beetles }),
  rebaited: true,
});

test('a trap is due a week after it was emptied; its year is told without the years before', () => {
  const catches = [
    read('A', '2025-06-20T09:00:00+01:00', 40),
    read('A', '2026-06-01T09:00:00+01:00', 12),
    read('A', '2026-06-08T09:00:00+01:00', 0),
    { id: 'open', station_id: 'B', set_at: '2026-06-12T09:00:00+01:00' },
  ];
  expect(beetleTraps([trap('C'), trap('B'), trap('A')], catches, NOW, ZONE)).toEqual([
    {
      trap: trap('A'),
      set_at: '2026-06-08T09:00:00+01:00',
      days: 7,
      due: true,
      last: { beetles: 0, day: '2026-06-08' },
      year: { beetles: 12, readings: 2 },
    },
    { trap: trap('C'), due: false, year: { beetles: 0, readings: 0 } },
    {
      trap: trap('B'),
      set_at: '2026-06-12T09:00:00+01:00',
      days: 3,
      due: false,
      catch_id: 'open',
      year: { beetles: 0, readings: 0 },
    },
  ]);
  expect(beetleTraps([trap('A')], catches, NOW, ZONE, 14)[0]?.due).toBe(false);
});

test('a spoiled reading says no number, nor does an older record that has none', () => {
  const catches = [
    read('A', '2026-06-01T09:00:00+01:00', 3),
    read('A', '2026-06-08T09:00:00+01:00', undefined),
    { ...read('A', '2026-06-09T09:00:00+01:00', undefined), state: 'counted' },
  ];
  expect(beetleTraps([trap('A')], catches, NOW, ZONE)[0]).toMatchObject({
    last: { beetles: 3, day: '2026-06-01' },
    year: { beetles: 3, readings: 1 },
  });
});

test('a typed number decides what is written down', () => {
  const at = {
    station_id: 'A',
    set_at: '2026-06-08T09:00:00+01:00',
    observed_at: '2026-06-15T09:00:00+01:00',
    observer: 'Ada',
  };
  const base = { ...at, rebaited: true };
  expect(beetleSet(withBeetles(EMPTY_READING, '12'), at)).toEqual({ ...base, state: 'counted', beetles: 12 });
  expect(beetleSet(withBeetles(EMPTY_READING, '0'), at)).toEqual({
    ...base,
    state: 'none_found',
    beetles: 0,
  });
  expect(beetleSet(withState(EMPTY_READING, 'none_found'), at)).toEqual({
    ...base,
    state: 'none_found',
    beetles: 0,
  });
  // Nobody could get at it: no number, and it stands on.
  expect(beetleSet(withState(withBeetles(EMPTY_READING, '12'), 'not_turned'), at)).toEqual({
    ...base,
    state: 'not_turned',
    rebaited: false,
  });
  expect(isWrong(withBeetles(EMPTY_READING, '1.5'))).toBe(true);
  expect(isWrong(withBeetles(EMPTY_READING, ''))).toBe(false);
});
