// One random history: three people with phones, in odd seeds a fourth with a clone of the second one's phone;
// sixty steps of work and sync over a network that fails and a server that is restored; then quiet.

import { MemoryStore } from '../../../pwa/src/storage/memory_store';
import type { Fields, Op, View } from '../../../pwa/src/storage/rows';
import { LARGE } from '../../../pwa/src/sync/wires';
import { clientBug } from './bugs';
import { type Fault, faultAt, plain, type Sent } from './faults';
import type { House } from './house';
import { Dice, Ids } from './ids';
import { type Finding, Oracle } from './oracle';
import { Phone } from './phone';

const FIELDS = ['wireworms', 'millipedes', 'leatherjackets'];
const STEPS = 60;
const QUIET_ROUNDS = 30;

export class World {
  readonly dice: Dice;
  readonly ids: Ids;
  readonly oracle = new Oracle();
  /** What happened, to be read when something was found: over HTTP a seed does not bring the same history twice. */
  readonly story: string[] = [];
  phones: Phone[] = [];
  snapshots: number[] = [];
  #value = 0;
  #faulty = 1;

  constructor(
    readonly house: House,
    readonly seed: number,
    readonly bug: string,
  ) {
    this.dice = new Dice(seed);
    this.ids = new Ids(this.dice, Date.UTC(2026, 4, 1));
  }

  async run(): Promise<Finding[]> {
    await this.#meet();
    for (let step = 0; step < STEPS; step += 1) {
      if (step === 20 && this.seed % 2 === 1) this.#clone();
      await this.#step();
    }
    this.#faulty = 0;
    await this.house.network.calm();
    await this.#quiet();
    return await this.oracle.end(await this.house.truth(), this.phones);
  }

  async #meet(): Promise<void> {
    const by = clientBug(this.bug, () => this.#happens(0.3));
    const { network } = this.house;
    network.heard = (sent, status, body) => this.#note(sent, status, body);
    for (const { paired, token } of await this.house.open(3)) {
      const phone = new Phone(
        this.phones.length,
        paired,
        token,
        network,
        by,
        this.ids,
        new MemoryStore(),
        // In every third history each batch counts as large, so that answers are taken in late.
        this.seed % 3 === 0 ? 1 : LARGE,
      );
      this.phones.push(await this.#rigged(phone).pairedUp());
      await phone.pull(50);
    }
    this.snapshots = [await this.house.snapshot()];
  }

  #clone(): void {
    const [, second] = this.phones;
    if (second) this.phones.push(this.#rigged(second.clone(3)));
  }

  #rigged(phone: Phone): Phone {
    phone.fault = () => this.#fault();
    phone.crashes = () => this.#happens(0.3);
    return phone;
  }

  #happens(chance: number): boolean {
    return this.dice.next() < chance * this.#faulty;
  }

  #fault(): Fault {
    return this.#faulty === 0 ? 'none' : faultAt(this.dice.next());
  }

  /** Note what the server really did, also when the phone never hears of it. */
  #note(sent: Sent, status: number, body: string): void {
    this.story.push(`${sent.method} ${sent.path} ${plain(sent.body)} -> ${status} ${body}`);
    if (!sent.path.endsWith('/sync/push') || status !== 200) return;
    const { ops } = JSON.parse(plain(sent.body)) as { ops: { op_id: string; base_epoch: string }[] };
    const base = new Map(ops.map((op) => [op.op_id, op.base_epoch]));
    const answer = JSON.parse(body) as { epoch: string; results: { op_id: string; status: string }[] };
    for (const { op_id, status } of answer.results) {
      if (status !== 'applied' && status !== 'merged') continue;
      this.oracle.applied.set(op_id, { epoch: answer.epoch, base_epoch: base.get(op_id) ?? '' });
    }
  }

  async #step(): Promise<void> {
    const phone = this.dice.pick(this.phones);
    const x = this.dice.next();
    this.story.push(`person ${phone.person} draws ${x.toFixed(3)}`);
    const rows = await phone.shown();
    const id = rows.length > 0 ? this.dice.pick(rows).id : undefined;
    if (x < 0.12 || id === undefined) await this.#create(phone);
    else if (x < 0.2) phone.forms.push((await phone.records.get(id)) as View);
    else if (x < 0.42) await this.#edit(phone, id, this.dice.some(FIELDS, this.dice.pick([1, 1, 2])));
    else if (x < 0.46) await this.#remove(phone, id);
    else if (x < 0.5) await this.#settle(phone, id);
    else if (x < 0.62) await phone.push(this.dice.pick([1, 2, 5]));
    else if (x < 0.74) await phone.drain(this.dice.pick([1, 2, 5]));
    else if (x < 0.93) await phone.pull(this.dice.pick([1, 2, 50]));
    else if (x < 0.95) await phone.handOver(this.dice.pick(this.phones.filter((one) => one !== phone)));
    else if (x < 0.98) this.snapshots.push(await this.house.snapshot());
    else await this.#restore();
  }

  async #restore(): Promise<void> {
    this.oracle.judge(await this.house.truth());
    await this.house.restore(this.dice.pick(this.snapshots.slice(-2)));
  }

  async #create(phone: Phone): Promise<void> {
    const id = this.ids.next();
    const at = new Date(this.ids.now()).toISOString();
    const set: Fields = { station_id: id, set_at: at, observed_at: at, state: 'counted' };
    for (const field of FIELDS) set[field] = this.#type(phone, id, field, undefined);
    await phone.save('trap_catch', id, set);
  }

  #type(phone: Phone, id: string, field: string, seen: unknown): number {
    this.#value += 1;
    this.oracle.typed.set(this.#value, { person: phone.person, id, field, seen });
    return this.#value;
  }

  /** An edit of what is on the screen, or the saving of a form that has stood open for a while. */
  async #edit(phone: Phone, id: string, fields: string[]): Promise<void> {
    const form = this.#openForm(phone);
    const view = form ?? ((await phone.records.get(id)) as View);
    const set: Fields = {};
    for (const field of fields) set[field] = this.#type(phone, view.id, field, view.body[field]);
    const before = await phone.outbox();
    await phone.save('trap_catch', view.id, set, form);
    this.#rubOut(before, await phone.outbox());
  }

  async #remove(phone: Phone, id: string): Promise<void> {
    const form = this.#openForm(phone);
    if (form) await phone.records.save([], [{ id: form.id, shown: form }]);
    else await phone.records.remove(id);
  }

  /** One of the forms that this person has left open, at times. */
  #openForm(phone: Phone): View | undefined {
    return phone.forms.length > 0 && this.dice.next() < 0.5 ? phone.forms.shift() : undefined;
  }

  #rubOut(before: Op[], after: Op[]): void {
    const now = new Map(after.map((op) => [op.n, op.set]));
    for (const op of before) {
      for (const [field, value] of Object.entries(op.set)) {
        if (now.get(op.n)?.[field] !== value) this.oracle.rubbedOut.add(value as number);
      }
    }
  }

  async #settle(phone: Phone, id: string): Promise<void> {
    const view = (await phone.records.get(id)) as View;
    if (view.conflicts.length === 0 || view.pending) return;
    const value = this.#type(phone, id, 'wireworms', view.body.wireworms);
    await phone.records.resolve(
      id,
      view.conflicts.map((conflict) => conflict.id),
      { wireworms: value },
    );
  }

  /** Everyone syncs over a good network until a whole round brings nothing to send. */
  async #quiet(): Promise<void> {
    for (let round = 0; round < QUIET_ROUNDS; round += 1) {
      let sent = 0;
      for (const phone of this.phones) {
        for (let i = 0; i < 8 && (await phone.outbox()).length > 0; i += 1) {
          await phone.push(50);
          sent += 1;
        }
        await phone.pull(500);
      }
      const left = await Promise.all(this.phones.map((phone) => phone.outbox()));
      if (sent === 0 && left.every((ops) => ops.length === 0)) return;
    }
  }
}
