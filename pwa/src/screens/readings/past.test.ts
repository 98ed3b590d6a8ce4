import 'fake-indexeddb/auto';
import { expect, it } from 'vitest';
import { list, newId, saveMany } from '../../storage';
import { known } from '../forms/known';
import { dayPlus } from '../forms/local_time';
import { asItem } from '../forms/write';
import { lastResetAt, type PastReading, readingsOf } from './model';
import { LOOK_BACK, lastReadings } from './past';

const TODAY = '2026-05-12';
const NOW = `${TODAY}T09:00:00Z`;

/** What the card of a thermometer says of the past: its last reading, and the resets before that and before now. */
function said(station: string, past: readonly PastReading[]) {
  const last = readingsOf(station, past)[0];
  return [last?.id, last && lastResetAt(station, past, last.observed_at), lastResetAt(station, past, NOW)];
}

it('the newest stretches tell of every thermometer what all of them tell', async () => {
  const stations = ['daily', 'late', 'never_reset', 'reset_long_ago', 'at_the_end', 'away'];
  const days: [string, number, boolean][] = [
    ...[0, 1, 2, 5, 30].map((n): [string, number, boolean] => ['daily', n, n === 1 || n === 30]),
    ...[24, 26, 40].map((n): [string, number, boolean] => ['late', n, true]),
    ...[3, 33].map((n): [string, number, boolean] => ['never_reset', n, false]),
    ...[2, 47].map((n): [string, number, boolean] => ['reset_long_ago', n, n === 47]),
    ...[LOOK_BACK - 1, LOOK_BACK].map((n): [string, number, boolean] => ['at_the_end', n, true]),
    ['away', LOOK_BACK + 1, true],
    ['daily', -1, true], // by a clock that is ahead
  ];
  const items = days.map(([station_id, n, reset_done]) =>
    asItem('temperature', newId(), {
      station_id,
      observed_at: `${dayPlus(TODAY, -n)}T07:00:00Z`,
      reset_done,
    }),
  );
  await saveMany(items);
  const readings = await list('temperature', { from: dayPlus(TODAY, -LOOK_BACK) });
  const whole = readings.map((view) => ({ ...known(view.body), id: view.id }) as PastReading);
  for (const asked of [stations, ['daily'], ['daily', 'late'], []]) {
    const past = await lastReadings(asked, TODAY);
    for (const station of asked) expect(said(station, past)).toEqual(said(station, whole));
  }
  expect(said('daily', whole)[1]).toBe(`${dayPlus(TODAY, -1)}T07:00:00Z`);
  expect((await lastReadings(['daily'], TODAY)).length).toBeLessThan(whole.length);
});
