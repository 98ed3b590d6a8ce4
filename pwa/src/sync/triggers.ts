// When to sync: at start, when the page comes to the front, when a network appears, after a save, by timer and
// by button; never two tabs at once.

import { changes } from '../storage/changes';
import { t } from '../text';
import type { Ended, Engine } from './engine';
import { outcomeOf } from './outcome';
import { phaseWords, setSync, syncState } from './state';

const LOCK = 'underboard-sync';
const AFTER_SAVE_MS = 2_000;

export class Drainer {
  #failures = 0;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #running: Promise<void> | undefined;
  #unsubscribe: (() => void) | undefined;
  /** Something was saved while a sync ran, maybe too late for it. */
  #missed = false;

  constructor(
    readonly engine: Engine,
    readonly photosAllowed: () => Promise<boolean> = async () => true,
    readonly settled: () => Promise<void> = async () => undefined,
  ) {}

  /** Sync now, or join the one that runs. Never rejects: the state says how it went. */
  now(): Promise<void> {
    this.#running ??= this.#locked().finally(() => {
      this.#running = undefined;
    });
    return this.#running;
  }

  /**
   * A sign that things may be better now: forget the waiting. What runs already may have begun before the sign
   * (before the phone was paired, before the network was back), so it does not answer for it.
   */
  async wake(): Promise<void> {
    this.#failures = 0;
    await this.#running;
    await this.now();
  }

  async #locked(): Promise<void> {
    const locks = globalThis.navigator?.locks;
    if (!locks) return await this.#run();
    await locks.request(LOCK, { ifAvailable: true }, async (lock) => {
      // Another tab is at it; it tells this one of every change.
      if (lock) await this.#run();
      else this.again(AFTER_SAVE_MS * 5);
    });
  }

  async #run(): Promise<void> {
    setSync({ phase: 'syncing', words: phaseWords('syncing') });
    this.#missed = false;
    const end = await this.#cycle();
    this.#failures = end instanceof Error ? this.#failures + 1 : 0;
    const online = globalThis.navigator?.onLine !== false;
    const outcome = outcomeOf(end, this.#failures, online, this.engine.wires.random);
    await this.settled().catch(() => undefined);
    const stamp = end === 'done' ? { last_sync_at: new Date(this.engine.wires.now()).toISOString() } : {};
    const left = outcome.phase === 'idle' && end === 'done' ? leftOver() : undefined;
    setSync({ phase: outcome.phase, words: left ?? outcome.words, ...stamp });
    const soon = end === 'done' && this.#missed && syncState.value.only_here > 0;
    if (outcome.again_ms !== undefined) this.again(soon ? AFTER_SAVE_MS : outcome.again_ms);
  }

  async #cycle(): Promise<Ended | Error> {
    try {
      const photos = await this.photosAllowed();
      return await this.engine.cycle(photos, (left) => setSync({ photos_waiting: left }));
    } catch (error) {
      return error instanceof Error ? error : new Error(String(error));
    }
  }

  again(ms: number): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.now(), ms);
  }

  /** End the timer and the listening for changes. */
  stop(): void {
    clearTimeout(this.#timer);
    this.#unsubscribe?.();
  }

  /** Listen to everything that may be a reason to sync. */
  listen(page: Window): void {
    page.addEventListener('online', () => void this.wake());
    page.document.addEventListener('visibilitychange', () => {
      if (page.document.visibilityState === 'visible') void this.wake();
    });
    this.#unsubscribe = changes.subscribe((change) => {
      const busy = syncState.value.phase === 'syncing';
      if (busy) this.#missed = true;
      if (change.types.has('outbox') && !busy && syncState.value.phase !== 'not_home')
        this.again(AFTER_SAVE_MS);
    });
    void this.now();
  }
}

function leftOver(): string | undefined {
  const { only_here, photos_waiting } = syncState.value;
  if (only_here > 0) return t('told.left_over', { n: only_here });
  if (photos_waiting > 0) return t('told.photos_follow');
  return undefined;
}
