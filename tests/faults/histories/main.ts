// Runs histories in a child process: asks the house over standard output, hears over standard input.
// One JSON value a line; a question has `do`, a finished history has `done`.

import type { Conflict } from '../../../pwa/src/storage/rows';
import type { House, Truth } from './house';
import { networkTo } from './networks';
import { Wire } from './wire';
import { World } from './world';

declare const process: { argv: string[]; exit(code: number): never };

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

async function main(): Promise<void> {
  const [from = '0', to = '1', step = '1', bug = 'none', server = 'pipe'] = process.argv.slice(2);
  const wire = new Wire();
  void wire.listen();
  const network = await networkTo(server, wire);
  for (let seed = Number(from); seed < Number(to); seed += Number(step)) {
    const started = performance.now();
    const world = new World(new RealHouse(wire, network), seed, bug);
    const findings = await world.run().catch((error: unknown) => {
      const what = error instanceof Error ? `${error.message}\n${error.stack}` : String(error);
      return [{ kind: 'BROKEN', what }];
    });
    const story = findings.length > 0 ? world.story : [];
    wire.say({ done: seed, findings, story, ms: performance.now() - started });
  }
  process.exit(0);
}

void main();
