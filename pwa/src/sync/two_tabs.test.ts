// Two tabs on one store where the browser has no Web Locks, and a second phone: whole histories of edits, syncs at any
// moment, lost requests and answers, and restores. A failing one is told by its number.

import { expect, test } from 'vitest';
import { pullAll } from './pull';
import { Rig, TestPhone } from './rig';
import { RULES } from './rules';

const HISTORIES = 40;

/** Dice that fall alike each time (splitmix-like; any would do). */
function diceOf(seed: number): () => number {
  let s = seed * 2654435761 + 1;
  return () => {
    s = (Math.imul(s ^ (s >>> 15), 2246822507) + 0x9e3779b9) | 0;
    return ((s ^ (s >>> 13)) >>> 0) / 4294967296;
  };
}

class House {
  readonly rig = new Rig();
  readonly phones: TestPhone[] = [];
  readonly typed: { value: number; id: string }[] = [];
  calm = false;

  constructor(readonly dice: () => number) {}

  int(n: number): number {
    return Math.floor(this.dice() * n);
  }

  async settle(): Promise<this> {
    this.rig.large = 2;
    const a = await this.rig.phone('A');
    this.phones.push(a, new TestPhone(this.rig, 'A', RULES, a.base), await this.rig.phone('B'));
    for (const { engine } of this.phones) Object.assign(engine.wires, { now: () => (this.rig.now += 1) }); // no two moments are the same
    this.#spoil();
    return this;
  }

  #spoil(): void {
    const { fetch } = this.rig.server;
    const moment = () => new Promise((done) => setTimeout(done, this.int(3)));
    const lost = () => !this.calm && this.dice() < 0.06;
    this.rig.server.fetch = async (input, init) => {
      if (lost()) throw new TypeError('the request was lost');
      await moment();
      const answer = await fetch(input, init);
      await moment();
      if (lost()) throw new TypeError('the answer was lost');
      return answer;
    };
  }

  async save(phone: TestPhone): Promise<void> {
    const value = this.typed.length + 1;
    const id = `r${this.int(6)}`;
    this.typed.push({ value, id });
    await phone.save(id, { [`f${this.int(2)}`]: value });
  }

  async sync(phone: TestPhone): Promise<void> {
    phone.engine.size = 2 + this.int(2);
    const paired = await phone.engine.paired();
    if (!paired) throw new Error('not paired');
    const going =
      this.dice() < 0.4 ? pullAll(phone.engine.wires, paired, 1 + this.int(3)) : phone.engine.cycle(false);
    await going.catch(() => undefined);
  }

  async live(): Promise<void> {
    const running: Promise<void>[] = [];
    let backup = this.rig.server.snapshot();
    for (let step = 0; step < 45; step += 1) {
      const phone = this.phones[this.int(3)] as TestPhone;
      const what = this.dice();
      if (what < 0.55) await this.save(phone);
      else if (what < 0.9) running.push(this.sync(phone));
      else if (what < 0.94) backup = this.rig.server.snapshot();
      else if (what < 0.96) this.rig.server.restored(backup);
      if (this.dice() < 0.5) await new Promise((done) => setTimeout(done, this.int(4)));
    }
    await Promise.all(running);
  }

  async rest(): Promise<void> {
    this.calm = true;
    for (let round = 0; round < 4; round += 1)
      for (const phone of this.phones) {
        this.rig.now += 4_000_000; // whatever waited for an hour is due
        await phone.engine.cycle(false);
      }
  }

  /** Typed values that the server never heard of, and that nobody typed over before they left. */
  lost(): number[] {
    const heard = this.rig.server.changes.flatMap(({ id, set }) =>
      Object.values(set).map((value) => ({ id, value: Number(value) })),
    );
    return this.typed
      .filter(({ value }) => !heard.some((one) => one.value === value))
      .filter(({ value, id }) => !heard.some((one) => one.id === id && one.value > value))
      .map(({ value }) => value);
  }
}

test.each(Array.from({ length: HISTORIES }, (_, i) => i + 1))('history %i', async (seed) => {
  const house = await new House(diceOf(seed)).settle();
  await house.live();
  await house.rest();
  expect(house.lost()).toEqual([]);
  for (const phone of house.phones) {
    expect(await phone.outbox()).toEqual([]);
    for (const rec of house.rig.server.records.values()) {
      const row = await phone.base.read(['records'], (tx) => tx.get('records', rec.id));
      expect(row).toMatchObject({ rev: rec.rev, body: rec.body, conflicts: rec.conflicts });
      expect(row?.held).toBeUndefined();
    }
  }
});
