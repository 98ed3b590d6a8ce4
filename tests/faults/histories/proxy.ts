// A network that fails, as a real HTTP proxy between the phones and the server: it reads what the phone's dice
// decided from a header and does it to the bytes.

import { Agent, createServer, type IncomingMessage, request, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { gunzipSync } from 'node:zlib';
import { type Fault, type Heard, type Network, OVERTAKEN_BY, type Sent, sentOf } from './faults';

const HEADER = 'x-fault';
const HOP = new Set(['host', 'connection', 'content-length', 'transfer-encoding', HEADER]);

type Answer = { status: number; headers: IncomingMessage['headers']; body: Buffer };

export class FaultProxy implements Network {
  readonly #agent = new Agent({ keepAlive: true, maxSockets: 8 });
  readonly #late: { sent: Sent; wait: number }[] = [];
  #server: Server | undefined;
  #origin = '';
  heard: Heard = () => undefined;

  /** `target`: the real server, as http://host:port. */
  constructor(readonly target: URL) {}

  async open(): Promise<this> {
    const server = createServer((asked, answer) => void this.#serve(asked, answer));
    this.#server = server;
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    this.#origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
    return this;
  }

  /** What the phone's own fetch does. */
  ask(path: string, init: RequestInit, token: string, fault: Fault): Promise<Response> {
    const { headers, body, method } = sentOf(path, init, token);
    const sent = { ...init, method, headers: { ...headers, [HEADER]: fault } };
    return fetch(this.#origin + path, body.length > 0 ? { ...sent, body } : sent);
  }

  /** Deliver what is still under way: a history ends on a quiet network. */
  async calm(): Promise<void> {
    for (const { sent } of this.#late.splice(0)) await this.#forward(sent);
  }

  async #serve(asked: IncomingMessage, answer: ServerResponse): Promise<void> {
    const parts: Buffer[] = [];
    for await (const part of asked) parts.push(part as Buffer);
    const headers = Object.fromEntries(Object.entries(asked.headers).filter(([name]) => !HOP.has(name)));
    const sent = {
      path: asked.url ?? '/',
      method: asked.method ?? 'GET',
      headers: headers as Record<string, string>,
      body: new Uint8Array(Buffer.concat(parts)),
    };
    try {
      await this.#deliverLate();
      await this.#do(String(asked.headers[HEADER]) as Fault, sent, answer);
    } catch {
      answer.socket?.destroy(); // the server broke off: so does its answer
    }
  }

  async #do(fault: Fault, sent: Sent, answer: ServerResponse): Promise<void> {
    const drop = () => answer.socket?.destroy();
    if (fault === 'request lost') return void drop();
    if (fault === 'request cut') {
      await this.#cut(sent);
      return void drop();
    }
    if (fault === 'delivered late') {
      this.#late.push({ sent, wait: OVERTAKEN_BY });
      return void drop();
    }
    if (fault === 'slow') await new Promise((done) => setTimeout(done, 5));
    const told = await this.#forward(sent);
    if (fault === 'answer lost') return void drop();
    if (fault === 'delivered twice') await this.#forward(sent);
    answer.writeHead(told.status, told.headers);
    if (fault === 'answer cut' && told.body.length > 1) {
      answer.write(told.body.subarray(0, told.body.length / 2), () => void drop());
      return;
    }
    answer.end(told.body);
  }

  async #deliverLate(): Promise<void> {
    for (const one of this.#late) one.wait -= 1;
    const due = this.#late.filter((one) => one.wait <= 0);
    for (const one of due) {
      this.#late.splice(this.#late.indexOf(one), 1);
      await this.#forward(one.sent);
    }
  }

  #forward(sent: Sent): Promise<Answer> {
    return new Promise((done, fail) => {
      const asked = request(
        new URL(sent.path, this.target),
        { method: sent.method, headers: { ...sent.headers, 'content-length': sent.body.length }, agent: this.#agent },
        (answer) => {
          const parts: Buffer[] = [];
          answer.on('data', (part: Buffer) => parts.push(part));
          answer.on('error', fail);
          answer.on('end', () => {
            const told = { status: answer.statusCode ?? 0, headers: answer.headers, body: Buffer.concat(parts) };
            this.heard(sent, told.status, plain(told));
            done(told);
          });
        },
      );
      asked.on('error', fail);
      asked.end(sent.body);
    });
  }

  /** Half of a request reaches the server, then the line is dead. */
  #cut(sent: Sent): Promise<void> {
    return new Promise((done) => {
      const headers = { ...sent.headers, 'content-length': sent.body.length };
      const asked = request(new URL(sent.path, this.target), { method: sent.method, headers, agent: false });
      asked.on('error', () => done());
      asked.on('response', () => done());
      if (sent.body.length < 2) return void (asked.destroy(), done());
      asked.write(sent.body.subarray(0, sent.body.length / 2), () => setTimeout(() => asked.destroy(), 2));
      asked.on('close', () => done());
    });
  }

  close(): void {
    this.#server?.close();
    this.#server?.closeAllConnections();
    this.#agent.destroy();
  }
}

function plain({ headers, body }: Answer): string {
  return (headers['content-encoding'] === 'gzip' ? gunzipSync(body) : body).toString();
}
