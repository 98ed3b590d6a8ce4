// Phones and a server for tests: the real records and engine over a memory store and a server double.

import { MemoryStore } from '../storage/memory_store';
import type { Paired } from '../storage/meta_rows';
import type { Store } from '../storage/port';
import { Records } from '../storage/records';
import type { Fields, Op, View } from '../storage/rows';
import { Noting } from '../storage/touched';
import { Engine } from './engine';
import { Landing } from './landing';
import { nextBatch, sendBatch } from './push';
import { RULES, type Rules } from './rules';
import { Server } from './server';
import { ServerDouble } from './server_double';
import { LARGE } from './wires';

export class Rig {
  readonly server = new ServerDouble();
  now = Date.UTC(2026, 4, 1, 5);
  #ids = 0;
  large = LARGE;

  async phone(name: string, rules: Rules = RULES): Promise<TestPhone> {
    const phone = new TestPhone(this, name, rules, new MemoryStore());
    const paired: Paired = { plot_id: 'plot-1', device_id: name, server_id: this.server.serverId };
    await phone.store.write(['meta'], async (tx) => tx.put('meta', { key: 'paired', value: paired }));
    return phone;
  }

  id = (): string => {
    this.#ids += 1;
    return `id-${String(this.#ids).padStart(6, '0')}`;
  };
}

export class TestPhone {
  readonly store: Store;
  readonly records: Records;
  readonly engine: Engine;
  /** Fails the next requests: an answer is lost after the server has done its work. */
  loseAnswers = 0;
  told: string[] = [];

  constructor(
    readonly rig: Rig,
    readonly name: string,
    readonly rules: Rules,
    readonly base: MemoryStore,
  ) {
    const store = new Landing(new Noting(base), rules);
    this.store = store;
    const tell = (types: Iterable<string>) => void this.told.push(...types);
    this.records = new Records(store, rules, tell, rig.id);
    this.engine = new Engine({
      store,
      rules,
      server: new Server((path, init) => this.#fetch(path, init)),
      now: () => rig.now,
      random: () => 0.5,
      newId: rig.id,
      tell,
      large: rig.large,
    });
  }

  async #fetch(path: string, init: RequestInit): Promise<Response> {
    const answer = await this.rig.server.fetch(path, init);
    if (path.endsWith('/push') && this.loseAnswers > 0) {
      this.loseAnswers -= 1;
      throw new TypeError('connection reset');
    }
    return answer;
  }

  clone(name: string): TestPhone {
    return new TestPhone(this.rig, name, this.rules, this.base.clone());
  }

  async save(id: string, set: Fields): Promise<void> {
    await this.records.save([{ type: 'trap_catch', id, set }]);
  }
  async sync(): Promise<void> {
    await this.engine.cycle();
    await this.engine.pictures;
  }
  async push(): Promise<void> {
    await this.engine.push(await this.#paired());
  }
  /** One batch and no more. */
  async pushOnce(): Promise<void> {
    const batch = await nextBatch(this.engine.wires, await this.#paired(), 50);
    if (batch) await sendBatch(this.engine.wires, batch);
  }
  async pull(): Promise<void> {
    await this.engine.pull(await this.#paired());
  }
  async #paired(): Promise<Paired> {
    const paired = await this.engine.paired();
    if (!paired) throw new Error('not paired');
    return paired;
  }
  async view(id: string): Promise<View> {
    const view = await this.records.get(id);
    if (!view) throw new Error(`${this.name} has no ${id}`);
    return view;
  }
  outbox(): Promise<Op[]> {
    return this.store.read(['outbox'], (tx) => tx.all('outbox'));
  }
}

/** Two phones that both have record `r` with the given fields, synced. */
export async function twoPhones(fields: Fields, rules: Rules = RULES): Promise<[Rig, TestPhone, TestPhone]> {
  const rig = new Rig();
  const a = await rig.phone('A', rules);
  const b = await rig.phone('B', rules);
  await a.save('r', fields);
  await a.sync();
  await b.sync();
  return [rig, a, b];
}
