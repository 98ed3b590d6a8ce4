// Runs histories in a child process: asks the house over standard output, hears over standard input.
// One JSON value a line; a question has `do`, a finished history has `done`.

import type { Conflict } from '../../../pwa/src/storage/rows';
import type { House, Truth } from './house';
import { FaultPipe, type Told } from './pipe';
import { FaultProxy } from './proxy';
import { World } from './world';

declare const process: {
  argv: string[];
  stdin: AsyncIterable<Uint8Array>;
  stdout: { write(text: string): void };
  exit(code: number): never;
};

class Wire {
  #waiting: ((line: string) => void)[] = [];

  async listen(): Promise<void> {
    const decoder = new TextDecoder();
    let rest = '';
    for await (const part of process.stdin) {
      const lines = (rest + decoder.decode(part, { stream: true })).split('\n');
      rest = lines.pop() ?? '';
      for (const line of lines) this.#waiting.shift()?.(line);
    }
  }

  ask<T>(question: object): Promise<T> {
    process.stdout.write(`${JSON.stringify(question)}\n`);
    return new Promise((done) => this.#waiting.push((line) => done(JSON.parse(line) as T)));
  }

  say(fact: object): void {
    process.stdout.write(`${JSON.stringify(fact)}\n`);
  }
}

class RealHouse implements House {
  constructor(
    readonly wire: Wire,
    readonly network: House['network'],
  ) {}

  open(devices: number) {
    return this.wire.ask<Awaited<ReturnType<House['open']>>>({ do: 'open', devices });
  }
  truth() {
    return this.wire.ask<Truth & { records: { conflicts: Conflict[] }[] }>({ do: 'truth' });
  }
  snapshot() {
    return this.wire.ask<number>({ do: 'snapshot' });
  }
  restore(snapshot: number) {
    return this.wire.ask<void>({ do: 'restore', snapshot });
  }
}

/** Through the proxy to a real server, or by the pipe into the app that the parent process holds. */
async function networkTo(server: string, wire: Wire): Promise<House['network']> {
  if (server !== 'pipe') return await new FaultProxy(new URL(server)).open();
  return new FaultPipe(async ({ path, method, headers, body }) => {
    const sent = { path, method, headers, body: body.length > 0 ? toBase64(body) : undefined };
    const told = await wire.ask<Omit<Told, 'body'> & { body: string }>({ do: 'ask', ...sent });
    return { ...told, body: Uint8Array.from(atob(told.body), (char) => char.charCodeAt(0)) };
  });
}

function toBase64(bytes: Uint8Array): string {
  return btoa(String.fromCharCode(...bytes));
}

async function main(): Promise<void> {
  const [from = '0', to = '1', step = '1', bug = 'none', server = 'pipe'] = process.argv.slice(2);
  const wire = new Wire();
  void wire.listen();
  const network = await networkTo(server, wire);
  for (let seed = Number(from); seed < Number(to); seed += Number(step)) {
    const started = performance.now();
    try {
      const findings = await new World(new RealHouse(wire, network), seed, bug).run();
      wire.say({ done: seed, findings, ms: performance.now() - started });
    } catch (error) {
      const what = error instanceof Error ? `${error.message}\n${error.stack}` : String(error);
      wire.say({ done: seed, findings: [{ kind: 'BROKEN', what }], ms: performance.now() - started });
    }
  }
  process.exit(0);
}

void main();
