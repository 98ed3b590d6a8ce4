import { expect, it } from 'vitest';
import { addressOf, minutesLeft, newcomer, onlyHere } from './let_in_model';

it('counts a minute that has begun, and none once it has run out', () => {
  expect(minutesLeft(600_000, 0)).toBe(10);
  expect(minutesLeft(600_000, 1)).toBe(10);
  expect(minutesLeft(600_000, 540_000)).toBe(1);
  expect(minutesLeft(600_000, 599_999)).toBe(1);
  expect(minutesLeft(600_000, 600_000)).toBe(0);
  expect(minutesLeft(600_000, 700_000)).toBe(0);
});

it('says where to go without the code, and which addresses lead nowhere from another phone', () => {
  expect(addressOf('https://plot.home.arpa:8443/#pair=ABCD-EFGH')).toBe('https://plot.home.arpa:8443/join');
  for (const here of ['http://127.0.0.1:8350/#pair=A', 'http://localhost:8350/', 'http://[::1]:8350/'])
    expect(onlyHere(here)).toBe(true);
  for (const there of ['https://192.168.1.5:8443/', 'https://plot.home.arpa/', 'https://127.example/'])
    expect(onlyHere(there)).toBe(false);
});

it('knows who has come in since', () => {
  const at = (id: string, revoked_at: string | null = null) => ({ id, revoked_at });
  const before = new Set(['a', 'b']);
  expect(newcomer(before, [at('a'), at('b')])).toBeUndefined();
  expect(newcomer(before, [at('a'), at('c', '2026-05-10T05:00:00Z')])).toBeUndefined();
  expect(newcomer(before, [at('a'), at('d'), at('b')])?.id).toBe('d');
});
