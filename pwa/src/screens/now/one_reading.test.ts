/** Now asks the phone for all that it shows first in one transaction, and for the rest in another. */
import 'fake-indexeddb/auto';
import { beforeAll, expect, it, vi } from 'vitest';
import { newId, oneByOne, save, setMeta, together } from '../../storage';
import { withOffset } from '../forms/local_time';
import { type PlotFacts, readPlotFacts } from '../forms/plot_facts';
import { startRound } from '../round/model';
import { askLate } from './late';
import { askFirst } from './reading';

const ZONE = 'Europe/London';
type SixIds = [string, string, string, string, string, string];
const HOUR = 3_600_000;
const NOW = Date.parse('2026-05-12T21:00:00Z');
const at = (hours: number): string => withOffset(new Date(NOW + hours * HOUR), ZONE);
let facts: PlotFacts;

beforeAll(async () => {
  vi.useFakeTimers({ toFake: ['Date'], now: NOW });
  const [place, board, meter, trap, crop, warning] = ['a', 'b', 'c', 'd', 'e', 'f'].map(() =>
    newId(),
  ) as SixIds;
  await save('plot', newId(), { name: 'Frost hollow', time_zone: ZONE, latitude: 51.2, longitude: -0.9 });
  await save('place', place, { kind: 'bed', label: 'South bed' });
  await save('station', board, { kind: 'slug_board', label: 'B1', place_id: place, walk_order: 1 });
  await save('station', meter, { kind: 'thermometer', label: 'Post', place_id: place, exposure: 'screen' });
  await save('station', trap, { kind: 'bait_trap', label: 'T1', place_id: place });
  await save('trap_catch', newId(), { station_id: trap, set_at: at(-50) });
  await save('temperature', newId(), {
    station_id: meter,
    observed_at: at(-0.1),
    current: { value: 4, unit: 'degC' },
  });
  await save('evening', newId(), {
    place_id: place,
    observed_at: at(-0.2),
    air: { value: 6, unit: 'degC' },
    sky: 'clear',
  });
  await save('crop', crop, { kind: 'bean', place_id: place, started_on: '2026-05-02' });
  await save('treatment', newId(), {
    kind: 'pellets',
    place_ids: [place],
    observed_at: at(-30),
    harvest_interval_days: 7,
  });
  await save('trial', newId(), {
    name: 'Pellets',
    treat_on: at(0).slice(0, 10),
    after_to: at(200).slice(0, 10),
  });
  await save('warning', warning, {
    rule: 'frost',
    key: '2026-05-12 frost',
    window_start: at(-20),
    window_end: at(-1),
  });
  await setMeta('observer', 'Ada');
  const round = await startRound('Ada', ZONE);
  await save('slug_count', newId(), {
    round_id: round,
    station_id: board,
    count: 2,
    state: 'counted',
    observed_at: at(0),
  });
  facts = await readPlotFacts();
});

it('what is shown first', async () => {
  const transactions = vi.spyOn(IDBDatabase.prototype, 'transaction');
  const first = await together((ask) => askFirst(facts, NOW, ask));
  expect(transactions).toHaveBeenCalledTimes(1);
  expect(first).toEqual(await askFirst(facts, NOW, oneByOne));
  expect(first.due).toMatchObject({
    n_boards: 1,
    open: { n_done: 1, total: 2 },
    thermometers: { all: 1, unread: 0 },
  });
  expect(first.due.traps.all).toBe(1);
  transactions.mockRestore();
});

it('what is said of nights, of treated places and of trials', async () => {
  const transactions = vi.spyOn(IDBDatabase.prototype, 'transaction');
  const late = await together((ask) => askLate({ facts, now: NOW }, ask));
  expect(transactions).toHaveBeenCalledTimes(1);
  const alone = await askLate({ facts, now: NOW }, oneByOne);
  expect(late.tonight?.evening?.body.air).toEqual({ value: 6, unit: 'degC' });
  expect(late.tonight).toEqual(alone.tonight);
  expect(late.asked.map(({ view }) => view.id)).toEqual(alone.asked.map(({ view }) => view.id));
  expect(late.asked).toHaveLength(1);
  expect(late.waits.treatments).toEqual(alone.waits.treatments);
  expect(late.waits.stories()).toEqual(alone.waits.stories());
  expect(late.trials).toEqual(alone.trials);
  expect(late.trials.stories).toHaveLength(1);
});
