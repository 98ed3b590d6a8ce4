// What goes wrong with a request, in words that the phones' dice, the pipe and the proxy share.

import { gunzipSync } from 'node:zlib';

/** `delivered late`: the phone gives up, and what it sent arrives after other requests have overtaken it. */
export const FAULTS = [
  'answer lost',
  'request lost',
  'delivered twice',
  'delivered late',
  'answer cut',
  'request cut',
  'slow',
] as const;
export type Fault = 'none' | (typeof FAULTS)[number];

/** Chances of one request, in the order of `FAULTS`; the rest goes well. */
export const CHANCES: readonly number[] = [0.26, 0.1, 0.08, 0.06, 0.04, 0.03, 0.03];
/** How many later requests overtake one that is delivered late. */
export const OVERTAKEN_BY = 4;

export function faultAt(x: number): Fault {
  let sum = 0;
  for (const [n, chance] of CHANCES.entries()) {
    sum += chance;
    if (x < sum) return FAULTS[n] as Fault;
  }
  return 'none';
}

/** A request as it goes over the wire. */
export type Sent = { path: string; method: string; headers: Record<string, string>; body: Uint8Array<ArrayBuffer> };
/** Told of every answer the server gave, also of those that nobody hears. */
export type Heard = (sent: Sent, status: number, body: string) => void;

export type Network = {
  ask(path: string, init: RequestInit, token: string, fault: Fault): Promise<Response>;
};

export function sentOf(path: string, init: RequestInit, token: string): Sent {
  const body = init.body === undefined ? new Uint8Array() : bytesOf(init.body as string | ArrayBuffer);
  const headers = { ...(init.headers as Record<string, string>), Authorization: `Bearer ${token}` };
  return { path, method: init.method ?? 'GET', headers, body };
}

/** The text that was sent, inflated if need be; empty if there is none. */
export function plain(body: Uint8Array): string {
  const packed = body[0] === 0x1f && body[1] === 0x8b;
  return new TextDecoder().decode(packed ? gunzipSync(body) : body);
}

function bytesOf(body: string | ArrayBuffer): Uint8Array<ArrayBuffer> {
  return typeof body === 'string' ? new TextEncoder().encode(body) : new Uint8Array(body);
}
