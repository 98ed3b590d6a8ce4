// Random histories of three phones that sync, lose answers and hand files of unsent records to each other. Whatever
// happens: all end equal, every number typed is still somewhere, and none was replaced by somebody who had not seen it.

import { expect, test } from 'vitest';
import { diceOf } from '../storage/dice';
import { Rig, type TestPhone } from './rig';
import { readUnsent } from './unsent_read';
import { takeIn } from './unsent_take';
import { exportUnsent } from './unsent_write';

const R = '01890000-0000-7000-8000-00000000000a';
const node = globalThis as { process?: { env: { SEEDS?: string } } };
const SEEDS = Number(node.process?.env.SEEDS ?? 60);
const STEPS = 24;

class Story {
  readonly rig = new Rig();
  readonly phones: TestPhone[] = [];
  /** What stood on the screen of whoever typed a number. */
  readonly over = new Map<number, unknown>();
  readonly by = new Map<unknown, string>();
  files: string[] = [];
  #next = 100;

  constructor(readonly roll: () => number) {
    let n = 0;
    this.rig.id = () => {
      n += 1;
      return `01890000-0000-7000-9000-${String(n).padStart(12, '0')}`;
    };
  }

  async begin(): Promise<void> {
    for (const name of ['A', 'B', 'C']) this.phones.push(await this.rig.phone(name));
    const [first] = this.phones;
    await this.type(first as TestPhone);
    for (const phone of this.phones) await phone.sync();
  }

  async type(phone: TestPhone): Promise<void> {
    this.#next += 1;
    const seen = await phone.records.get(R);
    this.over.set(this.#next, seen?.body.wireworms);
    this.by.set(this.#next, phone.name);
    await phone.save(R, { wireworms: this.#next });
  }

  async step(): Promise<void> {
    const phone = this.phones[Math.floor(this.roll() * 3)] as TestPhone;
    const what = this.roll();
    if (what < 0.35) return await this.type(phone);
    if (what < 0.5) return await phone.sync();
    if (what < 0.6) return await phone.pull();
    if (what < 0.7) {
      phone.loseAnswers = 1;
      await phone.push().catch(() => undefined);
      phone.loseAnswers = 0;
      return;
    }
    if (what < 0.85) {
      this.files.push(await (await exportUnsent(phone.store, 0)).text());
      return;
    }
    // Any file that was ever made may turn up anywhere, also where it came from, also twice.
    const file = this.files[Math.floor(this.roll() * this.files.length)];
    const read = file === undefined ? undefined : await readUnsent(file, 'plot-1');
    if (read && 'file' in read) await takeIn(phone.store, read.file, 0);
  }

  async end(): Promise<void> {
    for (let round = 0; round < 3; round += 1) for (const phone of this.phones) await phone.sync();
  }

  /** Did whoever typed `value` see `before` (or type it), or a number that was typed by somebody who saw it? */
  saw(value: unknown, before: unknown): boolean {
    if (this.by.get(value) === this.by.get(before)) return true;
    for (let at = value; typeof at === 'number'; at = this.over.get(at))
      if (this.over.get(at) === before) return true;
    return false;
  }
}

async function play(seed: number): Promise<void> {
  const story = new Story(diceOf(seed));
  await story.begin();
  for (let n = 0; n < STEPS; n += 1) await story.step();
  await story.end();
  const record = story.rig.server.records.get(R);
  for (const phone of story.phones) {
    expect(await phone.outbox(), `seed ${seed}: outbox of ${phone.name}`).toEqual([]);
    const view = await phone.view(R);
    expect(view.body.wireworms, `seed ${seed}: ${phone.name}`).toBe(record?.body.wireworms);
    expect(view.conflicts.length, `seed ${seed}: ${phone.name}`).toBe(record?.conflicts.length);
  }
  const changes = story.rig.server.changes.filter(({ id }) => id === R);
  const kept = new Set<unknown>([
    ...changes.map(({ set }) => set.wireworms),
    ...(record?.conflicts ?? []).map((conflict) => (conflict.set as { wireworms?: unknown }).wireworms),
  ]);
  for (const value of story.over.keys()) {
    // A draft that the same person typed over before anybody could have read it was never said.
    const drafted = [...story.over.values()].includes(value);
    if (!drafted) expect(kept.has(value), `seed ${seed}: ${value} is gone`).toBe(true);
  }
  for (const { kind, set, prev } of changes) {
    const before = prev.wireworms;
    if (kind === 'conflict' || before === undefined || set.wireworms === before) continue;
    const seen = story.saw(set.wireworms, before);
    expect(seen, `seed ${seed}: ${set.wireworms} replaced ${before} unseen`).toBe(true);
  }
}

test('three phones and their files keep every number and replace none unseen', async () => {
  for (let seed = 1; seed <= SEEDS; seed += 1) await play(seed);
}, 600_000);
