// Talking to the home server, and only to it: on a strange wifi anything may answer.

import type { Problem } from '../storage/rows';
import type { Hello } from './wire';

/** No answer that we could read: no network, or nobody there, or it took too long. */
export class NoAnswer extends Error {
  constructor(
    message: string,
    readonly slow = false,
  ) {
    super(message);
  }
}
/** Something answered, but not our server: a captive portal, another house. */
export class NotHome extends Error {}
/** Our server answered with a problem. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly problem: Problem & Record<string, unknown>,
    readonly retryAfterMs: number | undefined,
  ) {
    super(problem.title);
  }
  is(kind: string): boolean {
    return this.problem.type.endsWith(`/${kind}`);
  }
}

export type Fetch = (input: string, init: RequestInit) => Promise<Response>;
export type Ask = {
  method?: 'GET' | 'HEAD' | 'POST' | 'PUT' | 'DELETE';
  /** Text, or what `packed` made of it. */
  json?: string | ArrayBuffer;
  bytes?: ArrayBuffer;
  mime?: string;
  etag?: string | undefined;
  timeoutMs?: number;
};
export type Answer<T> = { status: number; etag: string | undefined; body: T };

const TIMEOUT_MS = 30_000;
const WORTH_ZIPPING = 1024;

export class Server {
  constructor(
    readonly fetch: Fetch,
    readonly origin = '',
  ) {}

  /** Is this our server? With `serverId` undefined any Underboard will do (pairing). */
  async hello(serverId?: string): Promise<Hello> {
    const { body } = await this.ask<Hello>('/api/v1/hello');
    if (body?.app !== 'underboard' || typeof body.server_id !== 'string') throw new NotHome('not Underboard');
    if (serverId !== undefined && body.server_id !== serverId) throw new NotHome('another server');
    return body;
  }

  /** Ask and read JSON (or nothing for HEAD, 204, 304). Throws NoAnswer, NotHome or Refused, nothing else. */
  async ask<T>(path: string, ask: Ask = {}): Promise<Answer<T>> {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), ask.timeoutMs ?? TIMEOUT_MS);
    try {
      const response = await this.fetch(this.origin + path, await initOf(ask, stop.signal));
      return await readAnswer<T>(response, ask.method === 'HEAD');
    } catch (error) {
      if (error instanceof NotHome || error instanceof Refused) throw error;
      throw new NoAnswer(String(error), stop.signal.aborted);
    } finally {
      clearTimeout(timer);
    }
  }
}

async function initOf(ask: Ask, signal: AbortSignal): Promise<RequestInit> {
  const headers: Record<string, string> = { Accept: 'application/json', 'X-App': '1' };
  const init: RequestInit = {
    method: ask.method ?? 'GET',
    headers,
    signal,
    redirect: 'error',
    cache: 'no-store',
    credentials: 'same-origin',
  };
  if (ask.etag) headers['If-None-Match'] = ask.etag;
  if (ask.bytes) {
    headers['Content-Type'] = ask.mime ?? 'application/octet-stream';
    init.body = ask.bytes;
  } else if (ask.json !== undefined) {
    headers['Content-Type'] = 'application/json';
    init.body = await packed(ask.json);
    if (typeof init.body !== 'string') headers['Content-Encoding'] = 'gzip';
  }
  return init;
}

/** The gzip form of a text that is long enough for it. What has it already, or is too short, stays as it is. */
export async function packed(text: string | ArrayBuffer): Promise<string | ArrayBuffer> {
  if (typeof text !== 'string' || text.length <= WORTH_ZIPPING || typeof CompressionStream === 'undefined')
    return text;
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream('gzip'));
  return await new Response(stream).arrayBuffer();
}

async function readAnswer<T>(response: Response, head: boolean): Promise<Answer<T>> {
  const etag = response.headers.get('ETag') ?? undefined;
  const { status } = response;
  const type = response.headers.get('Content-Type') ?? '';
  if (status === 304 || status === 204) return { status, etag, body: undefined as T };
  if (head && (response.ok || status === 404)) return { status, etag, body: undefined as T };
  // A bare 502 or 504 of a proxy in front of our server is no portal, but no answer of ours either.
  if (!/^application\/(problem\+)?json\b/.test(type)) {
    if (status >= 500) throw new NoAnswer(`status ${status}`);
    throw new NotHome(`answered ${type || 'nothing'}`);
  }
  const body: unknown = head ? undefined : await response.json(); // the problem of a HEAD has no words
  if (response.ok) return { status, etag, body: body as T };
  throw new Refused(status, asProblem(body, status), retryAfter(response));
}

function asProblem(body: unknown, status: number): Problem & Record<string, unknown> {
  const found = typeof body === 'object' && body !== null ? (body as Record<string, unknown>) : {};
  const type = typeof found.type === 'string' ? found.type : 'about:blank';
  const title = typeof found.title === 'string' ? found.title : `The server answered ${status}.`;
  return { ...found, type, title, status };
}

/** Seconds, or a date (RFC 9110, section 10.2.3). */
function retryAfter(response: Response): number | undefined {
  const value = response.headers.get('Retry-After');
  if (!value) return undefined;
  const seconds = Number(value);
  if (Number.isFinite(seconds)) return Math.max(0, seconds * 1000);
  const at = Date.parse(value);
  return Number.isNaN(at) ? undefined : Math.max(0, at - Date.now());
}
