// Files that leave the plot and files that come in: through the home server, which makes and reads them.

import { NoAnswer, NotHome, Refused, Server } from './server';

const server = new Server((input, init) => globalThis.fetch(input, init));
/** A season of a large plot is worked out on a small board, and a bundle holds every photo. */
const TIMEOUT_MS = 180_000;

export type Column = { head: string; is: string; unit?: string };
export type Refusal = { row: number; field: string; why: string };
export type Preview = {
  type: string;
  columns: Column[];
  day_first: boolean;
  date_order_is_open: boolean;
  station: string;
  own: boolean;
  choices: string[];
  types: string[];
  rows: number;
  would_take: Record<string, number>;
  here_already: number;
  blank: number;
  refused: number;
  refusals: Refusal[];
};
export type Taken = {
  import_id: string | null;
  taken: Record<string, number>;
  here_already: number;
  refused: number;
  refusals: Refusal[];
  photos: number;
};
export type Standing = { import_id: string; at: string | null; words: string | null; records: number };
export type Plan = {
  type?: string;
  columns?: Record<string, string>;
  day_first?: boolean;
  station?: string;
};
/** What went wrong, for people: the server's own sentence, or nobody at home. */
export type Trouble = { words: string } | 'away';

const address = (plotId: string, rest: string) => `/api/v1/plots/${encodeURIComponent(plotId)}/${rest}`;

/** Fetch a file and its name. Throws NoAnswer, NotHome or Refused. */
export async function fetchFile(plotId: string, rest: string): Promise<{ blob: Blob; name: string }> {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), TIMEOUT_MS);
  try {
    const answer = await server.fetch(address(plotId, rest), {
      headers: { Accept: '*/*', 'X-App': '1' },
      redirect: 'error',
      cache: 'no-store',
      credentials: 'same-origin',
      signal: stop.signal,
    });
    const name = /filename="([\w.-]+)"/.exec(answer.headers.get('Content-Disposition') ?? '')?.[1];
    // A captive portal answers anything with a page; our server names the file.
    if (answer.ok && name) return { blob: await answer.blob(), name };
    if (!(answer.headers.get('Content-Type') ?? '').startsWith('application/problem+json'))
      throw new NotHome(`status ${answer.status}`);
    const problem = (await answer.json()) as { type: string; title: string; status: number };
    throw new Refused(answer.status, problem, undefined);
  } catch (error) {
    if (error instanceof NotHome || error instanceof Refused) throw error;
    throw new NoAnswer(String(error), stop.signal.aborted);
  } finally {
    clearTimeout(timer);
  }
}

async function sendFile<T>(plotId: string, rest: string, file: File, plan: Plan): Promise<T> {
  const query = new URLSearchParams({ name: file.name.slice(0, 120), plan: JSON.stringify(plan) });
  const bytes = await file.arrayBuffer();
  const { body } = await server.ask<T>(`${address(plotId, rest)}?${query}`, {
    method: 'POST',
    bytes,
    mime: 'application/octet-stream',
    timeoutMs: TIMEOUT_MS,
  });
  return body;
}

export const lookAt = (plotId: string, file: File, plan: Plan) =>
  sendFile<Preview>(plotId, 'imports/preview', file, plan);

export const takeIn = (plotId: string, file: File, plan: Plan) =>
  sendFile<Taken>(plotId, 'imports', file, plan);

export async function standing(plotId: string): Promise<Standing[]> {
  const { body } = await server.ask<{ imports: Standing[] }>(address(plotId, 'imports'));
  return body.imports;
}

/** A record that taking back left: two values are open, somebody changed it since, or one that stays needs it. */
export interface Stay {
  id: string;
  type: string;
  why: 'conflict' | 'edited' | 'named';
  label: string;
  observed_at: string | null;
}
export interface Undone {
  removed: number;
  stays: Stay[];
}

export async function undo(plotId: string, importId: string): Promise<Undone> {
  const path = address(plotId, `imports/${encodeURIComponent(importId)}`);
  const { body } = await server.ask<Undone>(path, { method: 'DELETE' });
  return body;
}

export function troubleOf(error: unknown): Trouble {
  if (error instanceof Refused) return { words: error.problem.detail ?? error.problem.title };
  return 'away';
}
