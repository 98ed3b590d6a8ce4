// One sync: is it our server, pull when the history is new, push what is due, pull, then the photos.

import { metaIn, type Paired, standingIn } from '../storage/meta_rows';
import type { Problem } from '../storage/rows';
import type { Result } from './merge';
import { type KeepPage, keepPage, PAGE_SIZE, pullAll } from './pull';
import { type Batch, exchange, keepAnswers, nextBatch, refuseOversize } from './push';
import { NoAnswer, Refused } from './server';
import { CLIENT_SCHEMA, PROTOCOL } from './wire';
import { clocks, type Wires } from './wires';

/** How a sync ended. Network trouble and refusals of the whole envelope are thrown (server.ts). */
export type Ended = 'done' | 'not_paired' | 'update_needed';

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
    readonly keep: KeepPage = keepPage,
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

  async pull(paired: Paired, limit = PAGE_SIZE): Promise<number> {
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

  /** One batch after the other; while the answers of one are stored, the next is on its way. */
  async #train(paired: Paired, first: Batch): Promise<{ sent: number; restored: boolean }> {
    let batch: Batch | undefined = first;
    let asked = exchange(this.wires, first);
    let sent = 0;
    while (batch) {
      const results = await this.#answer(batch, asked);
      sent += 1;
      if (!Array.isArray(results)) return { sent, restored: results === 'restored' };
      const next: Batch | undefined = await nextBatch(this.wires, paired, this.size, batch);
      if (next) {
        asked = exchange(this.wires, next);
        asked.catch(() => undefined);
      }
      await keepAnswers(this.wires, batch, results);
      batch = next;
    }
    return { sent, restored: false };
  }

  async #answer(
    batch: Batch,
    asked: Promise<Result[] | 'restored'>,
  ): Promise<Result[] | 'restored' | 'too large'> {
    try {
      const results = await asked;
      this.#went_well += 1;
      if (this.#went_well >= 3) this.size = Math.min(MOST, this.size * 2);
      return results;
    } catch (error) {
      this.#went_well = 0;
      if (error instanceof Refused && error.status === 413) {
        await this.#tooLarge(batch, error.problem);
        return 'too large';
      }
      if (error instanceof NoAnswer && error.slow) this.size = Math.max(FEWEST, half(this.size));
      throw error;
    }
  }

  async #tooLarge(batch: Batch, problem: Problem): Promise<void> {
    const [only] = batch.ops;
    if (batch.ops.length > 1) this.size = half(batch.ops.length);
    else if (only) await refuseOversize(this.wires, batch, problem);
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

function half(n: number): number {
  return Math.max(1, Math.floor(n / 2));
}
