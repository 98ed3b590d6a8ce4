// Runs histories in a child process: asks the house over standard output, hears over standard input.
// One JSON value a line; a question has `do`, a finished history has `done`.

import type { Conflict } from '../../../pwa/src/storage/rows';
import type { House, Truth } from './house';
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

type Heard = { status: number; headers: Record<string, string>; body: string };

class RealHouse implements House {
  constructor(readonly wire: Wire) {}

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
  async ask(path: string, init: RequestInit, token: string): Promise<Response> {
    const body = init.body === undefined ? undefined : toBase64(init.body as string | ArrayBuffer);
    const { method, headers } = init;
    const heard = await this.wire.ask<Heard>({ do: 'ask', path, method, headers, token, body });
    const empty = [204, 304].includes(heard.status);
    const bytes = Uint8Array.from(atob(heard.body), (char) => char.charCodeAt(0));
    return new Response(empty ? null : await inflated(bytes, heard.headers), heard);
  }
}

/** A browser unpacks answers before the page sees them; here we are the browser. */
async function inflated(bytes: Uint8Array<ArrayBuffer>, headers: Record<string, string>): Promise<BodyInit> {
  if (headers['Content-Encoding'] !== 'gzip') return bytes;
  return await new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer();
}

function toBase64(body: string | ArrayBuffer): string {
  const bytes = typeof body === 'string' ? new TextEncoder().encode(body) : new Uint8Array(body);
  return btoa(String.fromCharCode(...bytes));
}

async function main(): Promise<void> {
  const [from = '0', to = '1', step = '1', bug = 'none'] = process.argv.slice(2);
  const wire = new Wire();
  void wire.listen();
  for (let seed = Number(from); seed < Number(to); seed += Number(step)) {
    const started = performance.now();
    try {
      const findings = await new World(new RealHouse(wire), seed, bug).run();
      wire.say({ done: seed, findings, ms: performance.now() - started });
    } catch (error) {
      const what = error instanceof Error ? `${error.message}\n${error.stack}` : String(error);
      wire.say({ done: seed, findings: [{ kind: 'BROKEN', what }], ms: performance.now() - started });
    }
  }
  process.exit(0);
}

void main();
