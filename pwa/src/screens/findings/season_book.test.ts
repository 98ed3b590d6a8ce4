import { describe, expect, it } from 'vitest';
import { Rig, type TestPhone } from '../../sync/rig';
import { pressure } from './model';
import { asCount, asRound, type Season, season } from './season_book';

const ZONE = 'Europe/London';
const FROM = '2026-03-01';

/** A seeded generator (mulberry32): a history that fails is found again by its number. */
function chance(seed: number): (n: number) => number {
  let state = seed;
  return (n) => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) % n;
  };
}

/** Counts how often the half year was read whole. */
class Reader {
  whole = 0;
  constructor(readonly phone: TestPhone) {}

  readAll = async (from: string): Promise<Season> => {
    this.whole += 1;
    const [rounds, counts] = await Promise.all([
      this.phone.records.list('round', { from }),
      this.phone.records.list('slug_count', { from }),
    ]);
    return { rounds: rounds.map(asRound), counts: counts.map(asCount) };
  };
  kept = (from: string): Promise<Season> => season(this.phone.store, ZONE, from, this.readAll);
}

const sorted = <T extends { id: string }>(of: readonly T[]): T[] =>
  [...of].sort((a, b) => (a.id < b.id ? -1 : 1));
const told = ({ rounds, counts }: Season) => ({
  rounds: sorted(rounds),
  counts: sorted(counts),
  points: pressure(rounds, counts, ZONE),
});

const STATES = ['counted', 'counted', 'counted', 'none_found', 'not_turned', 'spoiled'] as const;

/** Some days before the half year, most of them in it, some at its very edge. */
const dayAt = (n: number): string => new Date(Date.UTC(2026, 1, 25, 23, 30) + n * 43_200_000).toISOString();

/** What people do: rounds, counts, corrections, double counts, removals, on two phones that meet now and then. */
async function act(phones: readonly TestPhone[], draw: (n: number) => number, made: string[]): Promise<void> {
  const phone = phones[draw(phones.length)] as TestPhone;
  const some = made[draw(made.length)] ?? 'round-0';
  const deed = draw(12);
  const round = `round-${draw(6)}`;
  const at = dayAt(draw(30));
  if (deed < 2) {
    await phone.records.save([
      { type: 'round', id: round, set: { kind: 'dawn', observed_at: at, valid: draw(5) > 0 } },
    ]);
    made.push(round);
  } else if (deed < 6) {
    const id = `count-${draw(40)}`;
    const set = {
      round_id: round,
      station_id: `board-${draw(5)}`,
      state: STATES[draw(6)],
      count: draw(9),
      observed_at: at,
    };
    await phone.records.save([{ type: 'slug_count', id, set }]);
    made.push(id);
  } else if (deed < 8 && some.startsWith('count')) {
    const set = [{ count: draw(30) }, { stands: true }, { set_aside: draw(2) > 0 }, { note: 'wet' }][
      draw(4)
    ] as Record<string, unknown>;
    await phone.records.save([{ type: 'slug_count', id: some, set }]);
  } else if (deed === 8) {
    await phone.records.remove(some);
  } else if (deed === 9) {
    const open = (await phone.records.needsYou()).find(({ conflicts }) => conflicts.length > 0);
    const ids = open?.conflicts.map(({ id }) => id) ?? [];
    if (open) await phone.records.resolve(open.id, ids, { count: draw(9) });
  } else {
    await phone.sync();
  }
}

describe('the kept half year', () => {
  it.each([1, 2, 3, 4, 5, 6, 7, 8])(
    'is what a whole reading gives, whatever was done (history %i)',
    async (seed) => {
      const draw = chance(seed);
      const rig = new Rig();
      rig.large = seed % 2 === 0 ? 3 : rig.large; // answers that are taken in late
      const phones = [await rig.phone('A'), await rig.phone('B')] as const;
      const reader = new Reader(phones[0]);
      const made: string[] = [];
      let from = FROM;
      await reader.kept(from);
      for (let turn = 0; turn < 60; turn += 1) {
        for (let n = draw(5); n >= 0; n -= 1) await act(phones, draw, made);
        if (draw(10) === 0) from = [from, dayAt(10 + draw(4)).slice(0, 10)].sort()[1] ?? from;
        const kept = told(await reader.kept(from));
        expect(kept, `turn ${turn}`).toEqual(told(await new Reader(phones[0]).readAll(from)));
      }
      expect(made.length).toBeGreaterThan(20);
      expect(reader.whole).toBe(1);
    },
  );

  it('is read whole when nobody noted what was written', async () => {
    const rig = new Rig();
    const phone = await rig.phone('A');
    const reader = new Reader(phone);
    await reader.kept(FROM);
    const set = { kind: 'dawn', observed_at: dayAt(20) } as const;
    const many = Array.from({ length: 2_001 }, (_, i) => ({ type: 'round' as const, id: `many-${i}`, set }));
    await phone.records.save(many);
    expect((await reader.kept(FROM)).rounds).toHaveLength(2_001);
    expect(reader.whole).toBe(2);
    await reader.kept(FROM);
    expect(reader.whole).toBe(2);
    await reader.kept('2026-02-20'); // an earlier day than the book has
    expect(reader.whole).toBe(3);
  });

  it('takes in what is written while it is being read', async () => {
    const rig = new Rig();
    const phone = await rig.phone('A');
    const reader = new Reader(phone);
    const found = await season(phone.store, ZONE, FROM, async (from) => {
      const read = await reader.readAll(from);
      await phone.records.save([
        { type: 'round', id: 'late', set: { kind: 'dawn', observed_at: dayAt(20) } },
      ]);
      return read;
    });
    expect(found.rounds).toHaveLength(0);
    expect((await reader.kept(FROM)).rounds.map(({ id }) => id)).toEqual(['late']);
    expect(reader.whole).toBe(1);
  });

  it('has nothing of what its person gave up after the server refused it', async () => {
    const rig = new Rig();
    const phone = await rig.phone('A');
    const reader = new Reader(phone);
    await phone.records.save([{ type: 'round', id: 'r', set: { kind: 'dawn', observed_at: dayAt(20) } }]);
    await phone.sync();
    await phone.records.save([{ type: 'round', id: 'r', set: { valid: false } }]);
    const [op] = await phone.outbox();
    if (!op) throw new Error('nothing queued');
    const problem = { type: 'about:blank', title: 'No.' };
    await phone.store.write(['outbox'], async (tx) => tx.put('outbox', { ...op, problem }));
    expect((await reader.kept(FROM)).rounds[0]?.valid).toBe(false);
    await phone.records.discard('r');
    expect((await reader.kept(FROM)).rounds[0]?.valid).toBeUndefined();
    expect(reader.whole).toBe(1);
  });
});
