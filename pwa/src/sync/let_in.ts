// An owner's wish for a code that lets one more phone in. Only the screen that shows it fetches this.

import type { CodeAnswer } from '../generated/api';
import { NotHome, Server } from './server';

export type Role = 'owner' | 'helper' | 'reader';

const server = new Server((input, init) => globalThis.fetch(input, init));

/** Throws NoAnswer, NotHome or Refused: without the server nobody can be let in. */
export async function askCode(role: Role, by = server): Promise<CodeAnswer> {
  const json = JSON.stringify({ role });
  const { body } = await by.ask<Partial<CodeAnswer> | null>('/api/v1/codes', { method: 'POST', json });
  // A stranger's network may answer anything, with JSON too.
  if (!body?.code || !body.url || !body.seconds) throw new NotHome('not ours');
  return body as CodeAnswer;
}
