import { expect, it } from 'vitest';
import { lastSoil } from './last_soil';

it('takes the newest soil of that day among the traps of the bed', () => {
  const lift = (id: string, station_id: string, observed_at: string, value: number) => ({
    id,
    station_id,
    observed_at,
    soil: { value, unit: 'degC' as const },
  });
  const catches = [
    lift('a', 't1', '2026-04-13T08:00:00+01:00', 10),
    lift('b', 't2', '2026-04-13T08:10:00+01:00', 11),
    lift('c', 't9', '2026-04-13T08:20:00+01:00', 12),
    lift('d', 't1', '2026-04-12T08:30:00+01:00', 13),
    { id: 'e', station_id: 't1', observed_at: '2026-04-13T08:40:00+01:00' },
  ];
  const own = new Set(['t1', 't2']);
  expect(lastSoil(catches, own, '2026-04-13', 'Europe/London')).toEqual({ value: 11, unit: 'degC' });
  expect(lastSoil(catches, own, '2026-04-14', 'Europe/London')).toBeUndefined();
});
