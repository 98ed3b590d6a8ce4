// Front door of taking in a file of unsent records. Fetched with the screen that offers it.

import { announce } from '../storage/changes';
import { metaIn, type Paired } from '../storage/meta_rows';
import { store } from '../storage/phone';
import { syncNow } from './index';
import { LARGEST_BYTES, type Read, readUnsent, type UnsentFile } from './unsent_read';
import { knownHere, type TakenIn, takeIn } from './unsent_take';

export type { FileOp, Refusal, UnsentFile } from './unsent_read';
export type { TakenIn } from './unsent_take';

/** What a chosen file holds; `known`: which of its operations this phone has had already. */
export type Look = Read & { known?: ReadonlySet<string> };

export async function lookInto(chosen: File): Promise<Look> {
  if (chosen.size > LARGEST_BYTES) return { refused: 'too_large' };
  const paired = await store.read(['meta'], (tx) => metaIn<Paired>(tx, 'paired'));
  const read = await readUnsent(await chosen.text(), paired?.plot_id ?? '');
  return 'file' in read ? { ...read, known: await knownHere(store, read.file) } : read;
}

/** Rejects with nothing stored when the phone could not keep all of it. */
export async function takeUnsent(file: UnsentFile): Promise<TakenIn> {
  const done = await takeIn(store, file, Date.now());
  announce(
    ['*', 'outbox'],
    file.ops.map((op) => op.id),
  );
  void syncNow();
  return done;
}
