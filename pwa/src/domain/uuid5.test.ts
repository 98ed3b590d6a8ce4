import { describe, expect, it } from 'vitest';
import { sha1, uuid5 } from './uuid5';

const DNS = '6ba7b810-9dad-11d1-80b4-00c04fd430c8';
const hex = (bytes: Uint8Array) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');

describe('name-based ids', () => {
  it('is the example of RFC 9562, appendix A.4', () => {
    expect(uuid5(DNS, 'www.example.com')).toBe('2ed6657d-e927-568b-95e1-2665a8aea6a2');
  });
  it('does not care how the namespace is written', () => {
    expect(uuid5(DNS.toUpperCase(), 'www.example.com')).toBe(uuid5(DNS, 'www.example.com'));
  });
  it('takes no namespace that is no UUID', () => {
    expect(() => uuid5('plot', 'watch/frost')).toThrow('not a UUID');
  });
});

describe('SHA-1', () => {
  it.each([
    // FIPS 180 examples, one block and two.
    ['abc', 'a9993e364706816aba3e25717850c26c9cd0d89d'],
    ['abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq', '84983e441c3bd26ebaae4aa1f95129e5e54670f1'],
  ])('of %s', (text, digest) => {
    expect(hex(sha1(new TextEncoder().encode(text)))).toBe(digest);
  });
  it('is that of the platform’s own digest for every length around the block', async () => {
    for (let n = 0; n < 200; n += 1) {
      const bytes = Uint8Array.from({ length: n }, (_, i) => (i * 37 + n) % 256);
      expect(hex(sha1(bytes)), String(n)).toBe(
        hex(new Uint8Array(await crypto.subtle.digest('SHA-1', bytes))),
      );
    }
  });
});
