// A small server in memory for tests of the phone's half. The random histories run on the real one.

import { same } from './same';

type Fields = Record<string, unknown>;
type Rec = {
  id: string;
  type?: string;
  rev: number;
  seq: number;
  deleted: boolean;
  body: Fields;
  conflicts: Fields[];
  restored_rev: number;
};
type Change = { id: string; rev: number; op_id: string; kind: string; set: Fields; prev: Fields };
export type WireOp = {
  op_id: string;
  kind: 'put' | 'del' | 'resolve';
  type?: string;
  id: string;
  base_rev: number;
  base_epoch?: string;
  after?: string[];
  set?: Fields;
  conflicts?: string[];
};

export class ServerDouble {
  serverId = 'server-1';
  epoch = 'epoch-1';
  /** The history whose copy this one began with. */
  standsOn = '';
  schema = 1;
  seq = 0;
  records = new Map<string, Rec>();
  changes: Change[] = [];
  results = new Map<string, { hash: string; result: Fields }>();
  blobs = new Map<string, ArrayBuffer>();
  /** Every request, "METHOD path". */
  asked: string[] = [];
  pushes: WireOp[][] = [];
  /** What `hello` says of the time; a server of old says nothing. */
  clock: string | undefined;
  /** Ids of records on which the server fails. */
  poison = new Set<string>();
  /** Answers to give instead, first come first served; undefined lets one request through. */
  instead: ((() => Response | Promise<Response>) | undefined)[] = [];
  goneBefore = 0;
  /** Photos whose sending always breaks off. */
  breaksOff = new Set<string>();
  /** What happens on the phone while a photo travels. */
  onBlob: (() => Promise<void>) | undefined;

  fetch = async (input: string, init: RequestInit): Promise<Response> => {
    const url = new URL(input, 'http://home');
    const method = init.method ?? 'GET';
    this.asked.push(`${method} ${url.pathname}`);
    const other = this.instead.shift();
    if (other) return await other();
    if (url.pathname === '/api/v1/hello')
      return json({ app: 'underboard', server_id: this.serverId, protocol: 1, server_now: this.clock });
    if (url.pathname === '/api/v1/sync/pull') return this.#pull(url);
    if (url.pathname === '/api/v1/sync/push') return this.#push(await read(init));
    if (url.pathname.includes('/blobs/')) return this.#blob(method, url.pathname, init);
    return problem(404, 'not-found');
  };

  restored(copy: ServerDouble): void {
    this.seq = copy.seq;
    this.records = structuredClone(copy.records);
    this.changes = structuredClone(copy.changes);
    this.results = structuredClone(copy.results);
    this.epoch = `${this.epoch}+`;
    this.standsOn = copy.epoch;
    for (const rec of this.records.values()) rec.restored_rev = rec.rev;
  }

  snapshot(): ServerDouble {
    const copy = new ServerDouble();
    Object.assign(copy, {
      epoch: this.epoch,
      seq: this.seq,
      records: structuredClone(this.records),
      changes: structuredClone(this.changes),
      results: structuredClone(this.results),
    });
    return copy;
  }

  #pull(url: URL): Response {
    const cursor = url.searchParams.get('cursor');
    const [epoch = this.epoch, after = '0'] = cursor?.split('@') ?? [];
    if (epoch !== this.epoch) return problem(409, 'epoch', { epoch: this.epoch });
    if (cursor && Number(after) < this.goneBefore) return problem(410, 'cursor-expired');
    const limit = Number(url.searchParams.get('limit'));
    // Until the first sync is through (no cursor, or one with its mark), old deletions are skipped.
    const first = cursor === null && url.searchParams.get('deletions') !== 'true';
    const until = Number(cursor?.split('@')[2] ?? (first ? this.seq : 0));
    const rows = [...this.records.values()]
      .filter(
        (rec) => rec.seq > Number(after) && (!rec.deleted || rec.seq > until || rec.conflicts.length > 0),
      )
      .sort((a, b) => a.seq - b.seq);
    const page = rows.slice(0, limit);
    const last = page.at(-1)?.seq ?? Number(after);
    return json({
      epoch: this.epoch,
      schema: this.schema,
      records: page.map(onWire),
      cursor:
        rows.length > page.length
          ? `${this.epoch}@${last}@${until}`
          : `${this.epoch}@${Math.max(last, until)}`,
      more: rows.length > page.length,
    });
  }

  #push(envelope: { epoch: string; ops: WireOp[] }): Response {
    if (envelope.epoch !== this.epoch) return problem(409, 'epoch', { epoch: this.epoch });
    this.pushes.push(envelope.ops);
    const results = envelope.ops.map((op) => this.#answer(op));
    return json({ epoch: this.epoch, results });
  }

  #answer(op: WireOp): Fields {
    if (this.poison.has(op.id)) return { op_id: op.op_id, status: 'retry' };
    const hash = JSON.stringify([op.kind, op.id, op.set ?? {}]);
    const known = this.results.get(op.op_id);
    if (known && known.hash !== hash) return { op_id: op.op_id, status: 'reused' };
    if (known) return { ...known.result, status: 'duplicate', ...this.#current(op.id) };
    if (typeof op.set?.count === 'number' && op.set.count > 9999)
      return { op_id: op.op_id, ...VALUE_REFUSED };
    const result = { op_id: op.op_id, ...this.#apply(op) };
    this.results.set(op.op_id, { hash, result });
    return result.status === 'applied' ? result : { ...result, ...this.#current(op.id) };
  }

  #current(id: string): Fields {
    const rec = this.records.get(id);
    return rec ? { record: onWire(rec) } : {};
  }

  #apply(op: WireOp): { status: string; rev: number } {
    let rec = this.records.get(op.id);
    if (!rec) {
      if (op.kind === 'del') return { status: 'applied', rev: 0 };
      rec = { id: op.id, rev: 0, seq: 0, deleted: false, body: {}, conflicts: [], restored_rev: 0 };
      if (op.type) rec.type = op.type;
      this.records.set(op.id, rec);
    }
    const known = op.base_epoch === this.standsOn ? Math.min(op.base_rev, rec.restored_rev) : 0;
    const base = op.base_epoch === this.epoch ? op.base_rev : known;
    const after = new Set(op.after ?? []);
    const others = this.changes.filter((c) => c.id === op.id && c.rev > base && !after.has(c.op_id));
    const touched = new Set(others.flatMap((c) => Object.keys(c.set)));
    const set = op.set ?? {};
    const current = rec.body;
    const overlap = Object.keys(set).some((field) => touched.has(field) && !same(current[field], set[field]));
    const why = this.#clash(op, rec, overlap, touched.size > 0);
    rec.rev += 1;
    this.seq += 1;
    rec.seq = this.seq;
    const prev = Object.fromEntries(Object.keys(set).map((field) => [field, rec.body[field]]));
    this.changes.push({
      id: op.id,
      rev: rec.rev,
      op_id: op.op_id,
      kind: why ? 'conflict' : op.kind,
      set,
      prev,
    });
    if (why) {
      rec.conflicts = [...rec.conflicts, { id: op.op_id, why, set }];
      return { status: 'conflict', rev: rec.rev };
    }
    if (op.kind === 'del') rec.deleted = true;
    if (op.kind === 'resolve')
      rec.conflicts = rec.conflicts.filter((c) => !op.conflicts?.includes(String(c.id)));
    rec.body = { ...rec.body, ...set };
    return { status: others.length > 0 ? 'merged' : 'applied', rev: rec.rev };
  }

  #clash(op: WireOp, rec: Rec, overlap: boolean, touched: boolean): string | undefined {
    if (op.kind === 'del') return touched || rec.conflicts.length > 0 ? 'delete-vs-edit' : undefined;
    if (rec.deleted && (op.kind === 'put' || Object.keys(op.set ?? {}).length > 0)) return 'deleted';
    return overlap ? 'overlap' : undefined;
  }

  async #blob(method: string, path: string, init: RequestInit): Promise<Response> {
    const sha = path.split('/').at(-1) ?? '';
    const there = this.blobs.get(path.split('/')[6] ?? '');
    if (method === 'HEAD' && there) return new Response(null, { status: 200, headers: { ETag: `"${sha}"` } });
    if (method === 'HEAD') return new Response(null, { status: 404 });
    if (method === 'GET' && there) return new Response(there, { headers: { 'Content-Type': 'image/jpeg' } });
    if (method === 'GET') return problem(404, 'not-found');
    await this.onBlob?.();
    if (this.breaksOff.has(sha)) throw new TypeError('connection reset');
    this.blobs.set(sha, init.body as ArrayBuffer);
    return json({ sha256: sha, bytes: (init.body as ArrayBuffer).byteLength }, 201);
  }
}

const VALUE_REFUSED = {
  status: 'rejected',
  problem: {
    type: '/problems/validation',
    title: 'Value not allowed',
    status: 422,
    errors: [{ pointer: '/set/count', detail: '0 to 9999' }],
  },
};

function onWire(rec: Rec): Fields {
  const { id, type, rev, seq, deleted, body, conflicts } = structuredClone(rec);
  if (deleted) return { id, rev, seq, deleted, ...(conflicts.length > 0 ? { conflicts } : {}) };
  return { id, type, rev, seq, deleted, body, conflicts };
}

async function read(init: RequestInit): Promise<{ epoch: string; ops: WireOp[] }> {
  if (typeof init.body === 'string') return JSON.parse(init.body);
  const plain = new Blob([init.body as ArrayBuffer]).stream().pipeThrough(new DecompressionStream('gzip'));
  return await new Response(plain).json();
}

export function json(body: unknown, status = 200): Response {
  return new Response(JSON.stringify(body), { status, headers: { 'Content-Type': 'application/json' } });
}

export function problem(
  status: number,
  kind: string,
  more: Fields = {},
  headers: Record<string, string> = {},
) {
  const body = { type: `/problems/${kind}`, title: kind, status, ...more };
  return new Response(JSON.stringify(body), {
    status,
    headers: { 'Content-Type': 'application/problem+json', ...headers },
  });
}
