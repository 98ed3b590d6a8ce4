// What the bench page needs of the client: its real storage and its real sync, nothing else.
import { changes } from '../../pwa/src/storage/changes';
import { newId } from '../../pwa/src/storage/ids';
import { records, store } from '../../pwa/src/storage/phone';
import { pair, syncNow } from '../../pwa/src/sync';
import { scenes } from './scenes';
import { fillTenYears } from './ten_years';

const AT = '2026-05-03T05:20:00+01:00';

async function left(): Promise<number> {
  return await store.read(['outbox'], (tx) => tx.count('outbox'));
}

/** Sync until `done` says so; a sync that is already on its way is waited for. */
async function until(done: () => Promise<boolean>): Promise<void> {
  while (!(await done())) await syncNow();
}

/** When what has just begun has told of `n` records: what it stored of them is stored then. */
function told(n: number): Promise<number> {
  let came = 0;
  return new Promise((done) => {
    const stop = changes.subscribe(({ ids }) => {
      came += ids.size;
      if (came < n) return;
      done(performance.now());
      stop();
    });
  });
}

const bench = {
  ...scenes,
  async pair(code: string): Promise<void> {
    const result = await pair(code, 'bench');
    if (!result.ok) throw new Error(JSON.stringify(result));
    await syncNow();
  },
  /** Records a second while `n` counts, saved before, are pushed: until the last is acknowledged, and until the cycle ends. */
  async push(n: number): Promise<[acknowledged: number, whole: number]> {
    const [round, at] = [newId(), new Date().toISOString()];
    const items = Array.from({ length: n }, (_, i) => ({
      type: 'slug_count' as const,
      id: newId(),
      set: {
        round_id: round,
        station_id: `0192f3a0-0000-7000-8000-0000000000${10 + (i % 26)}`,
        state: 'counted' as const,
        count: i % 17,
        observed_at: at,
        observer: 'Maren',
      },
    }));
    await records.save(items);
    const began = performance.now();
    const whole = until(async () => (await left()) === 0);
    const acknowledged = await told(n);
    await whole;
    const rate = (end: number): number => (n / (end - began)) * 1000;
    return [rate(acknowledged), rate(performance.now())];
  },
  /** Records a second while a fresh phone pulls the plot; throws unless it has at least `n`. */
  async pull(code: string, n: number): Promise<number> {
    const result = await pair(code, 'bench'); // its first sync begins as this resolves
    if (!result.ok) throw new Error(JSON.stringify(result));
    const began = performance.now();
    const ended = await told(n);
    const here = await store.read(['records'], (tx) => tx.count('records'));
    if (here < n) throw new Error(`${here} of ${n} came`);
    return (n / (ended - began)) * 1000;
  },
  /** Ten years of the plot on this phone, without a server; answers the number of observations. */
  tenYears: (plotId: string): Promise<number> => fillTenYears(plotId),
  /** Milliseconds from a tap's call to the promise that resolves after the strict commit. */
  async taps(n: number): Promise<number[]> {
    const id = newId();
    const first = { round_id: newId(), station_id: newId(), state: 'counted', observed_at: AT, observer: 'Maren' };
    const took: number[] = [];
    for (let count = 0; count < n; count += 1) {
      const began = performance.now();
      await records.save([{ type: 'slug_count', id, set: count === 0 ? { ...first, count } : { count } }]);
      took.push(performance.now() - began);
      await new Promise((done) => setTimeout(done, 20));
    }
    return took;
  },
};

(globalThis as { bench?: typeof bench }).bench = bench;
