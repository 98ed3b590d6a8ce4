// Phones moved by hand: a story in Python says what each one does, one JSON command a line. The phones are the
// client's own code; the way to the server fails as the story says.

import { MemoryStore } from '../../../pwa/src/storage/memory_store';
import type { Paired } from '../../../pwa/src/storage/meta_rows';
import type { Fields, View } from '../../../pwa/src/storage/rows';
import { type Ended } from '../../../pwa/src/sync/engine';
import { outcomeOf } from '../../../pwa/src/sync/outcome';
import { Pairing } from '../../../pwa/src/sync/pairing';
import { NoAnswer, Refused, Server } from '../../../pwa/src/sync/server';
import { clientBug } from './bugs';
import type { Fault } from './faults';
import type { House } from './house';
import { Dice, Ids } from './ids';
import { networkTo } from './networks';
import { Phone } from './phone';
import { Wire } from './wire';

declare const process: { argv: string[] };

type Command = { do: string; phone: number } & Record<string, unknown>;

/** A clock that the story can move on. */
class MovedIds extends Ids {
  ahead = 0;
  override now(): number {
    return super.now() + this.ahead;
  }
}

class Hands {
  readonly phones: Phone[] = [];
  readonly ids = new MovedIds(new Dice(1), Date.now());

  constructor(readonly network: House['network']) {}

  async run(command: Command): Promise<unknown> {
    if (command.do === 'later') return void (this.ids.ahead += command.ms as number);
    if (command.do === 'phone') return await this.#meet(command);
    const phone = this.phones[command.phone] as Phone;
    const faults = [...((command.faults as Fault[] | undefined) ?? [])];
    phone.fault = () => faults.shift() ?? 'none';
    return await this.#act(phone, command);
  }

  async #meet({ paired, token, bug, clone_of: of }: Command): Promise<number> {
    const original = typeof of === 'number' ? this.phones[of] : undefined;
    const phone =
      original?.clone(this.phones.length) ??
      new Phone(
        this.phones.length,
        paired as Paired,
        token as string,
        this.network,
        clientBug(String(bug ?? 'none'), () => false),
        this.ids,
        new MemoryStore(),
      );
    this.phones.push(original ? phone : await phone.pairedUp());
    return this.phones.length - 1;
  }

  async #act(phone: Phone, command: Command): Promise<unknown> {
    const id = command.id as string;
    switch (command.do) {
      case 'save': {
        const { type, set, shown } = command as { type: 'note'; set: Fields; shown?: View } & Command;
        return await phone.records.save([{ type, id, set, shown }]);
      }
      case 'remove':
        return await phone.records.remove(id);
      case 'resolve': {
        const view = await phone.records.get(id);
        const ids = (view?.conflicts ?? []).map((conflict) => conflict.id);
        return await phone.records.resolve(id, ids, command.set as Fields | undefined);
      }
      case 'push':
        return await outcome(() => phone.push(command.limit as number));
      case 'pull':
        return await outcome(() => phone.pull(command.limit as number));
      case 'sync':
        return await this.#sync(phone, command.size as number);
      case 'pair':
        return await this.#pair(phone, command.code as string);
      case 'see':
        return await see(phone);
      default:
        throw new Error(`no hand does ${command.do}`);
    }
  }

  /** The engine's whole cycle, and what the screen says of its end. */
  async #sync(phone: Phone, size: number): Promise<unknown> {
    phone.engine.size = size;
    let end: Ended | Error;
    try {
      end = await phone.engine.cycle(false);
    } catch (error) {
      end = error as Error;
    }
    const { phase, words, again_ms } = outcomeOf(end, 1, true, () => 1);
    const failed = end instanceof Error ? { error: String(end), ...refusal(end) } : {};
    return { phase, words, again_ms: again_ms ?? null, ...failed };
  }

  /** Pair again as the app does; it keeps what is queued. Browsers keep a cookie, we keep the token. */
  async #pair(phone: Phone, code: string): Promise<unknown> {
    const server = new Server(async (path, init) => {
      const body = typeof init.body === 'string' ? init.body.replace('"cookie"', '"token"') : init.body;
      const answer = await this.network.ask(path, { ...init, ...(body ? { body } : {}) }, '', 'none');
      const told = (await answer.clone().json()) as { token?: string };
      if (told.token) phone.token = told.token;
      return answer;
    });
    const done = await new Pairing(phone.store, server, undefined).pair(code, 'the same phone');
    return done;
  }
}

function refusal(error: unknown): object {
  return error instanceof Refused ? { refused: error.status, kind: error.problem.type, wait: error.retryAfterMs } : {};
}

async function outcome(trip: () => Promise<unknown>): Promise<object> {
  try {
    await trip();
    return {};
  } catch (error) {
    if (error instanceof Refused || error instanceof NoAnswer) return { error: String(error), ...refusal(error) };
    throw error;
  }
}

async function see(phone: Phone): Promise<object> {
  const archive = await phone.store.read(['archive'], (tx) => tx.all('archive'));
  return {
    views: await phone.views(),
    outbox: await phone.outbox(),
    archived: archive.flatMap((row) => row.ops.map((op) => op.op_id)),
    standing: await phone.standing(),
  };
}

async function main(): Promise<void> {
  const wire = new Wire();
  void wire.listen();
  const hands = new Hands(await networkTo(process.argv[2] ?? 'pipe', wire));
  for (;;) {
    const command = await wire.hear<Command>();
    try {
      wire.say({ told: (await hands.run(command)) ?? null });
    } catch (error) {
      wire.say({ broken: error instanceof Error ? `${error.message}\n${error.stack}` : String(error) });
    }
  }
}

void main();
