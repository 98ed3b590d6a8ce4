// What the server tells of a plot beside its records. Screens that show it fetch this with their own code.

import { NotHome, Server } from './server';

const server = new Server((input, init) => globalThis.fetch(input, init));

/** Milliseconds by which this phone's clock is ahead of the server's; undefined when it cannot be asked. */
export async function clockAhead(): Promise<number | undefined> {
  const asked = Date.now();
  const { server_now } = await server.hello().catch(() => ({ server_now: undefined }));
  const there = Date.parse(server_now ?? '');
  // The answer was written between the question and now.
  return Number.isNaN(there) ? undefined : (asked + Date.now()) / 2 - there;
}

/** Ask for `path` below the plot's address; `fits` tells an answer from a stranger's JSON. Throws when it cannot be asked. */
export async function askPlot<T>(
  plotId: string,
  path: string,
  fits: (body: unknown) => body is T,
): Promise<T> {
  const { body } = await server.ask<unknown>(`/api/v1/plots/${encodeURIComponent(plotId)}/${path}`);
  if (!fits(body)) throw new NotHome('not ours');
  return body;
}
