import 'fake-indexeddb/auto';
import { expect, it } from 'vitest';
import { list, newId, saveMany } from '../../storage';
import { known } from '../forms/known';
import { dayPlus } from '../forms/local_time';
import { asItem } from '../forms/write';
import type { PastReading } from '../readings/model';
import { nightsAt, type PastEvening } from './model';
import { LOOKED_THROUGH, nightsHere, stretchesOf } from './own_nights';

const CLOCK = { time_zone: 'Europe/London', habit: 'morning' as const };
const NIGHT = '2026-05-12';
const METER = { id: 's1', kind: 'thermometer', exposure: 'screen' };

/** A seeded generator (Park and Miller 1988), so that a failure can be had again. */
function chance(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

const c = (value: number) => ({ value: Math.round(value * 10) / 10, unit: 'degC' });

/** Some weeks at the far end of what is looked at and some now; mornings, resets and evenings left out by chance. */
async function invented(draw: () => number): Promise<void> {
  const items = [];
  const days = [...Array(14).keys()].flatMap((n) => [-LOOKED_THROUGH - 6 + n, -n, -200 - 3 * n]);
  for (const n of days) {
    const day = dayPlus(NIGHT, n);
    for (const clock of ['07:10', '05:20', '19:00'])
      if (draw() < 0.5) {
        const body = {
          observed_at: `${day}T${clock}:00Z`,
          min: c(10 * draw() - 3),
          reset_done: draw() < 0.7,
        };
        items.push(asItem('temperature', newId(), { ...body, station_id: draw() < 0.8 ? 's1' : 's2' }));
      }
    if (draw() < 0.6) {
      const observed_at = `${day}T${draw() < 0.8 ? '21:10' : '01:30'}:00Z`;
      const sky = draw() < 0.7 ? ('clear' as const) : ('broken' as const);
      items.push(asItem('evening', newId(), { observed_at, air: c(9 * draw()), sky, wind: 'calm' }));
    }
  }
  await saveMany(items);
}

it('few evenings ask for few days of thermometers, and tell of the same nights as all of them', async () => {
  let n = 0;
  for (const seed of [11, 12, 13]) {
    await invented(chance(seed)); // each on top of those before
    const evenings = (await list('evening')).map(({ body }) => known(body) as PastEvening);
    const readings = await list('temperature', { from: dayPlus(NIGHT, -LOOKED_THROUGH) });
    const past = readings.map((view) => ({ ...known(view.body), id: view.id }) as PastReading);
    const whole = nightsAt(METER, evenings, past, CLOCK);
    expect(await nightsHere(METER, CLOCK, NIGHT)).toEqual(whole);
    n += whole.length;
  }
  expect(n).toBeGreaterThan(20);
});

it('stretches that touch are one, none begins before the first day, and no evening asks for none', () => {
  expect(stretchesOf([], '2026-01-01')).toEqual([]);
  expect(stretchesOf(['2026-03-05', '2026-03-01', '2026-03-03'], '2026-01-01')).toEqual([
    { from: '2026-03-01', to: '2026-03-06' },
  ]);
  expect(stretchesOf(['2025-12-30', '2025-12-31', '2026-02-01'], '2026-01-01')).toEqual([
    { from: '2026-01-01', to: '2026-01-01' },
    { from: '2026-02-01', to: '2026-02-02' },
  ]);
  const many = Array.from({ length: 40 }, (_, i) => dayPlus('2026-01-01', 4 * i));
  expect(stretchesOf(many, '2025-01-01')).toEqual([{ from: '2026-01-01', to: dayPlus('2026-01-01', 157) }]);
});
