// One sync: is it our server, pull when the history is new, push what is due, pull, then the photos.

import { metaIn, type Paired, standingIn } from '../storage/meta_rows';
import type { Problem } from '../storage/rows';
import type { Result } from './merge';
import type { KeepPage } from './pull';
import { type Batch, exchange, keepAnswers, nextBatch, takeInRestore, tellsOfRestore } from './push';
import { NoAnswer, Refused } from './server';
import { CLIENT_SCHEMA, PROTOCOL } from './wire';
import { clocks, type Wires } from './wires';

/** How a sync ended. Network trouble and refusals of the whole envelope are thrown (server.ts). */
export type Ended = 'done' | 'not_paired' | 'update_needed';

/** Batches on their way at a time: while the server stores one, the next travels. */
const AT_ONCE = 2;
const FEWEST = 50;
const MOST = 500;
const MOST_ROUNDS = 4;
const ARCHIVE_DAYS = 60;
const DAY_MS = 86_400_000;

export class Engine {
  /** Operations in a batch: halved when one was too slow or too large, doubled after three that went well. */
  size = MOST;
  #went_well = 0;
  /** Small pictures coming in after the last sync. */
  pictures: Promise<unknown> = Promise.resolve();

  constructor(
    readonly wires: Wires,
    readonly keep?: KeepPage,
  ) {}

  paired(): Promise<Paired | undefined> {
    return this.wires.store.read(['meta'], (tx) => metaIn<Paired>(tx, 'paired'));
  }

  async cycle(photos = true, progress?: (left: number) => void): Promise<Ended> {
    const paired = await this.paired();
    if (!paired) return 'not_paired';
    const hello = await this.wires.server.hello(paired.server_id);
    this.wires.ahead = (Date.parse(hello.server_now ?? '') || this.wires.now()) - this.wires.now();
    if (hello.protocol !== PROTOCOL || (hello.schema?.min ?? 0) > CLIENT_SCHEMA) return 'update_needed';
    const standing = await this.wires.store.read(['meta'], standingIn);
    if (standing.epoch === '' || standing.full) await this.pull(paired);
    await this.push(paired);
    // A pull may find that the server was restored, and queue what is to be sent again.
    for (let round = 0; round < MOST_ROUNDS; round += 1) {
      await this.pull(paired);
      if ((await this.push(paired)) === 0) break;
    }
    await this.#tidy();
    if (photos) await this.#photos(paired, progress);
    return 'done';
  }

  /** The code for photos is fetched when there are some: nobody who counts boards waits for it. */
  async #photos(paired: Paired, progress?: (left: number) => void): Promise<void> {
    const { waiting, again } = await this.wires.store.read(['photos', 'meta'], async (tx) => ({
      waiting: await tx.waitingPhotos(),
      again: await metaIn<boolean>(tx, 'photos_again'),
    }));
    if (waiting.length > 0 || again) {
      const { sendPhotos } = await import('./photos_up');
      await sendPhotos(this.wires, paired, progress, () => this.#savedMeanwhile(paired));
    }
    // Nobody waits for pictures of other phones: the sync is over without them.
    this.pictures = import('./photos_down')
      .then(({ fetchThumbs }) => fetchThumbs(this.wires, paired))
      .catch(() => undefined);
  }

  async #savedMeanwhile(paired: Paired): Promise<void> {
    if ((await this.push(paired)) > 0) await this.pull(paired);
  }

  async pull(paired: Paired, limit?: number): Promise<number> {
    const { pullAll } = await import('./pull');
    return await pullAll(this.wires, paired, limit, this.keep);
  }

  /** Push until nothing is due. Answers the number of batches. */
  async push(paired: Paired): Promise<number> {
    for (let sent = 0; ; ) {
      const first = await nextBatch(this.wires, paired, this.size);
      if (!first) return sent;
      const end = await this.#train(paired, first);
      sent += end.sent;
      if (end.restored) await this.pull(paired);
    }
  }

  /**
   * Batch behind batch, some at a time on their way; the next is chosen meanwhile. Answers are stored in the order in which
   * their batches left, also those behind one that brings trouble.
   */
  async #train(paired: Paired, first: Batch): Promise<{ sent: number; restored: boolean }> {
    const flying: Flight[] = [];
    let chosen: Promise<Batch | undefined> = Promise.resolve(first);
    const fill = async (): Promise<void> => {
      while (flying.length < AT_ONCE) {
        const batch = await chosen;
        if (!batch) return;
        flying.push({ batch, asked: awaitedLater(exchange(this.wires, batch)) });
        chosen = awaitedLater(nextBatch(this.wires, paired, this.size, batch));
      }
    };
    for (let sent = 0; ; ) {
      await fill();
      const one = flying.shift();
      if (!one) return { sent, restored: false };
      sent += 1;
      let results: Result[];
      try {
        results = await one.asked;
      } catch (error) {
        await chosen.catch(() => undefined);
        return { sent, restored: await this.#trouble(one.batch, error, await this.#land(flying)) };
      }
      this.#went_well += 1;
      if (this.#went_well >= 3) this.size = Math.min(MOST, this.size * 2);
      await fill();
      await keepAnswers(this.wires, one.batch, results);
    }
  }

  /** Store what was answered to these. Says whether it is known of each what became of it. */
  async #land(flying: readonly Flight[]): Promise<boolean> {
    let sure = true;
    for (const { batch, asked } of flying) {
      try {
        await keepAnswers(this.wires, batch, await asked);
      } catch (error) {
        sure &&= tellsOfRestore(error);
      }
    }
    return sure;
  }

  /** `sure`: what `#land` said. Says whether the server was restored; throws what is no matter between it and this batch. */
  async #trouble(batch: Batch, error: unknown, sure: boolean): Promise<boolean> {
    this.#went_well = 0;
    if (error instanceof Refused && error.status === 413) {
      await this.#tooLarge(batch, error.problem);
      return false;
    }
    if (error instanceof NoAnswer && error.slow) this.size = Math.max(FEWEST, half(this.size));
    await takeInRestore(this.wires, error, sure ? batch.before : undefined);
    return true;
  }

  async #tooLarge(batch: Batch, problem: Problem): Promise<void> {
    const [only] = batch.ops;
    if (batch.ops.length > 1) this.size = half(batch.ops.length);
    else if (only) await (await import('./turned_down')).refuseOversize(this.wires, batch, problem);
  }

  async #tidy(): Promise<void> {
    const now = this.wires.now();
    const oldest = new Date(clocks(this.wires)[0] - ARCHIVE_DAYS * DAY_MS).toISOString();
    await this.wires.store.write(['archive', 'meta'], async (tx) => {
      tx.dropRange('archive', '', oldest);
      tx.put('meta', { key: 'last_sync_at', value: new Date(now).toISOString() });
    });
  }
}

type Flight = { batch: Batch; asked: Promise<Result[]> };

/** Whoever waits for it comes later; until then its failure is nobody's surprise. */
function awaitedLater<T>(promise: Promise<T>): Promise<T> {
  promise.catch(() => undefined);
  return promise;
}

function half(n: number): number {
  return Math.max(1, Math.floor(n / 2));
}
