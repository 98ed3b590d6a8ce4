// One phone of a history: the real client code over its own memory store, behind a network that fails.

import { MemoryStore } from '../../../pwa/src/storage/memory_store';
import { type Paired, type SyncStanding, standingIn } from '../../../pwa/src/storage/meta_rows';
import { Records } from '../../../pwa/src/storage/records';
import type { Fields, Op, Row, View } from '../../../pwa/src/storage/rows';
import type { Store } from '../../../pwa/src/storage/port';
import { Engine } from '../../../pwa/src/sync/engine';
import { Landing } from '../../../pwa/src/sync/landing';
import { type KeepPage, keepPage } from '../../../pwa/src/sync/pull';
import { nextBatch, sendBatch } from '../../../pwa/src/sync/push';
import type { Rules } from '../../../pwa/src/sync/rules';
import { NoAnswer, Server } from '../../../pwa/src/sync/server';
import { readUnsent } from '../../../pwa/src/sync/unsent_read';
import { takeIn } from '../../../pwa/src/sync/unsent_take';
import { exportUnsent } from '../../../pwa/src/sync/unsent_write';
import { LARGE } from '../../../pwa/src/sync/wires';
import { type Fault, type Network, plain, sentOf } from './faults';
import type { Ids } from './ids';
import { type Look, Watch } from './watch';

export class Crash extends Error {}

export type PhoneRules = { rules: Rules; keepPage?: KeepPage };

export class Phone {
  /** Whose hands hold it: a clone has the id and outbox of its original, but another person types. */
  readonly engine: Engine;
  readonly records: Records;
  readonly store: Store;
  readonly large: number;
  readonly watch: Watch;
  /** Pushes that the watch has not been told of. */
  readonly #sent: { body: string; stored: boolean }[] = [];
  /** Forms that were opened and are not saved yet: each shows its record as it was then. */
  readonly forms: View[] = [];
  /** Asked before each request. */
  fault: () => Fault = () => 'none';
  /** Asked between the pages of a pull. */
  crashes: () => boolean = () => false;

  constructor(
    readonly person: number,
    readonly paired: Paired,
    public token: string,
    readonly network: Network,
    readonly by: PhoneRules,
    readonly ids: Ids,
    readonly base: MemoryStore = new MemoryStore(),
    large = LARGE,
  ) {
    const store = new Landing(base, by.rules);
    this.store = store;
    this.large = large;
    this.watch = new Watch(person);
    this.records = new Records(store, by.rules, () => undefined, ids.next);
    const keep = by.keepPage ?? keepPage;
    this.engine = new Engine(
      {
        store,
        rules: by.rules,
        server: new Server((path, init) => this.#fetch(path, init)),
        now: () => ids.now(),
        random: () => 0,
        newId: ids.next,
        tell: () => undefined,
        large,
      },
      async (wires, page, standing) => {
        await keep(wires, page, standing);
        if (page.more && this.crashes()) throw new Crash();
      },
    );
  }

  async pairedUp(): Promise<Phone> {
    await this.store.write(['meta'], async (tx) => tx.put('meta', { key: 'paired', value: this.paired }));
    return this;
  }

  clone(person: number): Phone {
    return new Phone(
      person,
      this.paired,
      this.token,
      this.network,
      this.by,
      this.ids,
      this.base.clone(),
      this.large,
    );
  }

  async #fetch(path: string, init: RequestInit): Promise<Response> {
    const ask = () => this.network.ask(path, init, this.token, this.fault());
    if (!path.endsWith('/sync/push')) return await ask();
    const sent = { body: plain(sentOf(path, init, '').body), stored: true }; // an answer that was lost may have told so
    this.#sent.push(sent);
    const answer = await ask();
    sent.stored = answer.status !== 409;
    return answer;
  }

  /** One batch; the whole trip may fail, which is not an error of the history. */
  async push(limit: number): Promise<void> {
    await this.#pushing(limit, async () => {
      const batch = await nextBatch(this.engine.wires, this.paired, limit);
      if (batch) await sendBatch(this.engine.wires, batch);
    });
  }

  /** All that is due, batch behind batch, as the app sends it. */
  async drain(limit: number): Promise<void> {
    await this.#pushing(limit, async () => {
      this.engine.size = limit;
      await this.engine.push(this.paired);
    });
  }

  async #pushing(limit: number, trip: () => Promise<unknown>): Promise<void> {
    await tolerant(async () => {
      const { epoch, schema } = await this.standing();
      // The engine pulls before it pushes as long as a first page has not been stored.
      if (epoch === '' || schema === 0) await this.engine.pull(this.paired, limit);
      else await trip();
    });
    const here = await this.#hasOps();
    for (const { body, stored } of this.#sent.splice(0)) if (stored) this.watch.sent(body, here);
    this.watch.rows(await this.rows());
  }

  async pull(limit: number): Promise<void> {
    const before = await this.#look();
    await tolerant(() => this.engine.pull(this.paired, limit));
    this.watch.undisturbed(before, await this.#look());
    this.watch.rows(await this.rows());
  }

  async #hasOps(): Promise<Set<string>> {
    const archive = await this.store.read(['archive'], (tx) => tx.all('archive'));
    return new Set([...(await this.outbox()), ...archive.flatMap((row) => row.ops)].map((op) => op.op_id));
  }

  async #look(): Promise<Look> {
    return { ops: await this.outbox(), views: await this.views() };
  }

  /** Hand everything unsent over as a file, which the other takes in. */
  async handOver(to: Phone): Promise<void> {
    const text = await (await exportUnsent(this.store, this.ids.now())).text();
    const read = await readUnsent(text, to.paired.plot_id);
    if ('file' in read) await takeIn(to.store, read.file, this.ids.now(), this.by.rules);
    else if (read.refused !== 'empty') throw new Error(`refused: ${read.refused}`);
  }

  standing(): Promise<SyncStanding> {
    return this.store.read(['meta'], standingIn);
  }

  outbox(): Promise<Op[]> {
    return this.store.read(['outbox'], (tx) => tx.all('outbox'));
  }

  rows(): Promise<Row[]> {
    return this.store.read(['records'], (tx) => tx.all('records'));
  }

  /**
   * What a person can lay hands on. Of a record whose removal came alone in another's file there is nothing to be seen; an
   * edit of it would lack whatever a new record needs, and wait for its person for ever.
   */
  async shown(): Promise<Row[]> {
    const seen = (await this.views()).filter((view) => Object.keys(view.body).length > 0).map((view) => view.id);
    return (await this.rows()).filter((row) => !row.deleted && seen.includes(row.id));
  }

  /** Everything on its screen, deleted or not. */
  async views(): Promise<View[]> {
    const views = await Promise.all((await this.rows()).map((row) => this.records.get(row.id)));
    return views.filter((view) => view !== undefined);
  }

  async save(type: 'trap_catch', id: string, set: Fields, shown?: View): Promise<void> {
    await this.records.save([{ type, id, set, shown }]);
  }
}

async function tolerant(trip: () => Promise<unknown>): Promise<void> {
  try {
    await trip();
  } catch (error) {
    if (!(error instanceof NoAnswer || error instanceof Crash)) throw error;
  }
}
