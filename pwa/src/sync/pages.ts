// The pages of a pull on their way: the next one travels while those before it are stored.

import type { SyncStanding } from '../storage/meta_rows';
import type { Page } from './wire';

/**
 * So many pages at most wait to be stored with one stroke. Each stroke more costs some answers of the database; but while
 * one is stored, a tap has to wait for it.
 */
const AT_ONCE = 2;

export type Got = { page: Page; etag: string | undefined } | 'nothing new';

export class Pages {
  readonly #here: Got[] = [];
  #asked: Promise<void> | undefined;
  #from: SyncStanding;

  /** `at`: where what comes next begins. */
  constructor(
    readonly ask: (from: SyncStanding) => Promise<Got>,
    public at: SyncStanding,
  ) {
    this.#from = at;
  }

  /** All that has come, as one page; if nothing has, the first that comes. Throws what asking for it threw. */
  async next(): Promise<Got> {
    while (this.#here.length === 0) {
      this.#askAhead();
      await this.#asked;
    }
    const got = together(this.#here);
    if (got !== 'nothing new') this.at = after(this.at, got.page);
    this.#askAhead();
    return got;
  }

  #askAhead(): void {
    if (this.#asked || this.#here.length >= AT_ONCE) return;
    this.#asked = this.ask(this.#from).then((got) => {
      this.#here.push(got);
      if (got === 'nothing new' || !got.page.more) return;
      this.#from = after(this.#from, got.page);
      this.#asked = undefined;
      this.#askAhead();
    });
    this.#asked.catch(() => undefined);
  }
}

/** The first pages of one history leave `here`. A record that moved up meanwhile stands in them twice, its newest last. */
function together(here: Got[]): Got {
  let got = here.shift() ?? 'nothing new';
  for (;;) {
    const [next] = here;
    if (got === 'nothing new' || !next || next === 'nothing new' || next.page.epoch !== got.page.epoch)
      return got;
    here.shift();
    got = { ...next, page: { ...next.page, records: [...got.page.records, ...next.page.records] } };
  }
}

function after({ etag: _, ...from }: SyncStanding, { epoch, cursor }: Page): SyncStanding {
  return { ...from, epoch, cursor };
}
