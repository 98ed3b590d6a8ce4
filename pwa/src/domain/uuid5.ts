/**
 * Ids that two phones make alike without talking: name-based UUIDs of version 5 (RFC 9562, 5.5) on SHA-1
 * (FIPS 180-4, 6.1). Written out because the browser's own digest answers later, and a save must not wait.
 */
const HEX = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/i;

/** The UUIDv5 of a name inside a namespace, which is a UUID itself. */
export function uuid5(namespace: string, name: string): string {
  if (!HEX.test(namespace)) throw new Error(`not a UUID: ${namespace}`);
  const space = namespace.replaceAll('-', '').match(/../g) ?? [];
  const hash = sha1(
    Uint8Array.from([...space.map((pair) => Number.parseInt(pair, 16)), ...new TextEncoder().encode(name)]),
  );
  hash[6] = ((hash[6] ?? 0) & 0x0f) | 0x50;
  hash[8] = ((hash[8] ?? 0) & 0x3f) | 0x80;
  const hex = Array.from(hash.subarray(0, 16), (byte) => byte.toString(16).padStart(2, '0')).join('');
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
}

export function sha1(bytes: Uint8Array): Uint8Array {
  const padded = new Uint8Array(Math.ceil((bytes.length + 9) / 64) * 64);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(bytes.length / 0x20000000));
  view.setUint32(padded.length - 4, bytes.length << 3);
  const state = new Uint32Array([0x67452301, 0xefcdab89, 0x98badcfe, 0x10325476, 0xc3d2e1f0]);
  for (let at = 0; at < padded.length; at += 64) mixIn(state, view, at);
  const out = new DataView(new ArrayBuffer(20));
  state.forEach((word, i) => {
    out.setUint32(4 * i, word);
  });
  return new Uint8Array(out.buffer);
}

function mixIn(state: Uint32Array, view: DataView, at: number): void {
  const words = new Uint32Array(80);
  for (let i = 0; i < 16; i += 1) words[i] = view.getUint32(at + 4 * i);
  const word = (i: number): number => words[i] ?? 0;
  for (let i = 16; i < 80; i += 1) {
    words[i] = turn(word(i - 3) ^ word(i - 8) ^ word(i - 14) ^ word(i - 16), 1);
  }
  let [a = 0, b = 0, c = 0, d = 0, e = 0] = state;
  for (let i = 0; i < 80; i += 1) {
    const next = (turn(a, 5) + chosen(i, b, c, d) + e + word(i)) >>> 0;
    [a, b, c, d, e] = [next, a, turn(b, 30), c, d];
  }
  [a, b, c, d, e].forEach((value, i) => {
    state[i] = ((state[i] ?? 0) + value) >>> 0;
  });
}

/** f(b, c, d) + K of the four stretches of twenty rounds. */
function chosen(round: number, b: number, c: number, d: number): number {
  if (round < 20) return ((b & c) | (~b & d)) + 0x5a827999;
  if (round < 40) return (b ^ c ^ d) + 0x6ed9eba1;
  if (round < 60) return ((b & c) | (b & d) | (c & d)) + 0x8f1bbcdc;
  return (b ^ c ^ d) + 0xca62c1d6;
}

function turn(word: number, by: number): number {
  return ((word << by) | (word >>> (32 - by))) >>> 0;
}
