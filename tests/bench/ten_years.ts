// Ten invented years of one plot, as rows that a pull would have left on the phone: 120,000 observations.
import { standingIn } from '../../pwa/src/storage/meta_rows';
import { store } from '../../pwa/src/storage/phone';
import type { Row } from '../../pwa/src/storage/rows';
import { withKeys } from '../../pwa/src/storage/shelf';

const DAY = 86_400_000;
const BOARDS = 50;
const BEDS = 10;
const ROUND_EVERY_DAYS = 1.85; // about 2,000 rounds
const THERMOMETERS = 5;
const A_TRANSACTION = 4_000;

/** A seeded generator (mulberry32), so that each run draws the same ten years. */
function chance(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

export class TenYears {
  #n = 0;
  readonly #draw = chance(2026);
  readonly #rows: Row[] = [];

  constructor(
    readonly end: number,
    /** Of the server's history, as if it had brought them. */
    readonly epoch: string,
  ) {}

  id(at: number): string {
    this.#n += 1;
    const hex = at.toString(16).padStart(12, '0');
    return `${hex.slice(0, 8)}-${hex.slice(8)}-7000-8000-${this.#n.toString(16).padStart(12, '0')}`;
  }

  put(type: Row['type'], at: number, body: Record<string, unknown>, id = this.id(at)): string {
    const row: Row = { id, type, rev: 1, epoch: this.epoch, deleted: false, body, conflicts: [], seen: 0 };
    this.#rows.push(withKeys(row));
    return id;
  }

  rows(plotId: string): Row[] {
    const begin = this.end - 3652 * DAY;
    this.put('plot', begin, { name: 'Ten years', time_zone: 'Europe/London' }, plotId);
    const beds = Array.from({ length: BEDS }, (_, i) =>
      this.put('place', begin, { kind: 'bed', label: `Bed ${i + 1}`, length_m: 4, width_m: 1.2 }),
    );
    const at = (kind: string, n: number, more = {}): string[] =>
      Array.from({ length: n }, (_, i) =>
        this.put('station', begin, { kind, place_id: beds[i % BEDS], label: `${kind} ${i + 1}`, walk_order: i, ...more }),
      );
    const boards = at('slug_board', BOARDS);
    const traps = at('bait_trap', BEDS);
    const glasses = [...at('thermometer', THERMOMETERS - 1, { exposure: 'screen' }), ...at('thermometer', 1, { exposure: 'soil' })];
    for (let day = begin; day < this.end; day += ROUND_EVERY_DAYS * DAY) this.#round(day, boards);
    for (let day = begin; day < this.end; day += DAY) this.#readings(day, glasses);
    for (let day = begin; day < this.end; day += 30 * DAY) this.#seldom(day, beds, traps);
    return this.#rows;
  }

  #level(at: number): number {
    return 1.5 + 1.2 * Math.sin(((at % (365.25 * DAY)) / (365.25 * DAY)) * 2 * Math.PI * 2 - 1);
  }

  #round(at: number, boards: readonly string[]): void {
    const observed_at = new Date(at).toISOString();
    const round_id = this.put('round', at, { kind: 'dawn', observed_at, started_at: observed_at });
    for (const station_id of boards) {
      const count = Math.floor(-Math.log(1 - this.#draw()) * this.#level(at));
      const state = this.#draw() < 0.02 ? 'not_turned' : count === 0 ? 'none_found' : 'counted';
      this.put('slug_count', at, { round_id, station_id, state, count, observed_at, observer: 'Maren' });
    }
  }

  #readings(at: number, glasses: readonly string[]): void {
    const observed_at = new Date(at).toISOString();
    const mean = 10 - 8 * Math.cos(((at % (365.25 * DAY)) / (365.25 * DAY)) * 2 * Math.PI);
    const degc = (value: number) => ({ value: Math.round(value * 10) / 10, unit: 'degC' });
    for (const station_id of glasses) {
      const [high, low] = [mean + 8 * this.#draw(), mean - 8 * this.#draw()];
      this.put('temperature', at, {
        station_id, observed_at, current: degc(mean), max: degc(high), min: degc(low), reset_done: true,
      });
    }
  }

  #seldom(at: number, beds: readonly string[], traps: readonly string[]): void {
    const observed_at = new Date(at).toISOString();
    this.put('treatment', at, { kind: 'nematodes', place_ids: [beds[0]], observed_at });
    for (const station_id of traps) {
      const wireworms = this.#draw() < 0.4 ? 1 : 0;
      const soil = { value: 12, unit: 'degC' };
      const set_at = new Date(at - 12 * DAY).toISOString();
      const state = wireworms ? 'counted' : 'none_found';
      this.put('trap_catch', at, { station_id, set_at, observed_at, state, wireworms, soil });
    }
    const crop_id = this.put('crop', at, { kind: 'carrot', place_id: beds[1], started_on: observed_at.slice(0, 10) });
    this.put('crop_event', at, { crop_id, what: 'sown', observed_at });
  }
}

/** Fill the phone; answers how many observations it now holds. */
export async function fillTenYears(plotId: string): Promise<number> {
  const { epoch } = await store.read(['meta'], standingIn);
  const rows = new TenYears(Date.now() - 3_600_000, epoch).rows(plotId);
  for (let from = 0; from < rows.length; from += A_TRANSACTION) {
    const page = rows.slice(from, from + A_TRANSACTION);
    await store.write(
      ['records'],
      (tx) => tx.lay(page), // as on a phone that has pulled them
      { strict: false },
    );
  }
  return rows.filter(({ body }) => 'observed_at' in body).length;
}
