// What the server tells of a plot beside its records. Screens that show it fetch this with their own code.

import { NotHome, Server } from './server';

const server = new Server((input, init) => globalThis.fetch(input, init));

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
