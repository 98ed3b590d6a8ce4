// The same failing network without sockets: a request is a call into the app, its faults are played here.

import { type Fault, type Heard, type Network, OVERTAKEN_BY, type Sent, sentOf } from './faults';

export type Told = { status: number; headers: Record<string, string>; body: Uint8Array<ArrayBuffer> };

export class FaultPipe implements Network {
  readonly #late: { sent: Sent; wait: number }[] = [];
  heard: Heard = () => undefined;

  constructor(readonly deliver: (sent: Sent) => Promise<Told>) {}

  async ask(path: string, init: RequestInit, token: string, fault: Fault): Promise<Response> {
    for (const one of this.#late) one.wait -= 1;
    for (const one of this.#late.filter(({ wait }) => wait <= 0)) {
      this.#late.splice(this.#late.indexOf(one), 1);
      await this.#bring(one.sent);
    }
    const sent = sentOf(path, init, token);
    // Half a request is none to a server that counts its bytes; the proxy shows that this one does.
    if (fault === 'request lost' || fault === 'request cut') throw new TypeError('network lost');
    if (fault === 'delivered late') {
      this.#late.push({ sent, wait: OVERTAKEN_BY });
      throw new TypeError('network lost');
    }
    const told = await this.#bring(sent);
    if (fault === 'answer lost' || fault === 'answer cut') throw new TypeError('connection reset');
    if (fault === 'delivered twice') await this.#bring(sent);
    const empty = [204, 304].includes(told.status);
    return new Response(empty ? null : await inflated(told), told);
  }

  /** Deliver what is still under way: a history ends on a quiet network. */
  async calm(): Promise<void> {
    for (const { sent } of this.#late.splice(0)) await this.#bring(sent);
  }

  async #bring(sent: Sent): Promise<Told> {
    const told = await this.deliver(sent);
    this.heard(sent, told.status, new TextDecoder().decode(await inflated(told)));
    return told;
  }
}

/** A browser unpacks answers before the page sees them; here we are the browser. */
async function inflated({ headers, body }: Told): Promise<ArrayBuffer> {
  if (headers['Content-Encoding'] !== 'gzip') return body.buffer;
  return await new Response(new Blob([body]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer();
}
