// Notices on this phone: what stands in the way, and that server and browser stay in step.

import { describe, expect, test } from 'vitest';
import type { Channels, Subscription } from '../generated/api';
import { type Browser, base64url, hindranceOf, Notices, type PushPort } from './notices';
import { Server } from './server';
import { json } from './server_double';

const FINE: Browser = {
  secure: true,
  apple_phone: false,
  standalone: false,
  able: true,
  permission: 'default',
};

describe('what stands in the way', () => {
  test.each([
    [{}, undefined],
    [{ permission: 'granted' }, undefined],
    [{ permission: 'denied' }, 'blocked'],
    [{ secure: false, able: false }, 'insecure'],
    [{ apple_phone: true, able: false }, 'home_screen'],
    [{ apple_phone: true, standalone: true }, undefined],
    [{ apple_phone: true, standalone: true, able: false }, 'unsupported'],
    [{ able: false }, 'unsupported'],
  ] as [Partial<Browser>, string | undefined][])('%j: %s', (changes, said) => {
    expect(hindranceOf({ ...FINE, ...changes })).toBe(said);
  });
});

/** A browser's push: subscriptions are numbered, and may vanish. */
class Push implements PushPort {
  answer: NotificationPermission = 'granted';
  now: (Subscription & { key: string }) | undefined;
  made = 0;
  asked = 0;
  async ask() {
    this.asked += 1;
    return this.answer;
  }
  async held() {
    return this.now;
  }
  async subscribe(key: string) {
    this.made += 1;
    this.now = { endpoint: `https://push.example/${this.made}`, p256dh: 'P', auth: 'A', key };
    return this.now;
  }
  async unsubscribe() {
    this.now = undefined;
  }
}

class Marks {
  kept = new Map<string, string>();
  getItem = (key: string) => this.kept.get(key) ?? null;
  setItem = (key: string, value: string) => void this.kept.set(key, value);
  removeItem = (key: string) => void this.kept.delete(key);
}

/** The server's side: remembers what it was told. */
class Home {
  key = 'key-1';
  phones: { this_device: boolean; state: string }[] = [];
  told: string[] = [];
  reachable = true;
  server = new Server(async (path, init) => {
    if (!this.reachable) throw new TypeError('no network');
    if (path === '/api/v1/channels') {
      const email = { set_up: false, addresses: [] };
      return json({ push: { public_key: this.key, phones: this.phones }, email, calendar: null });
    }
    const body = init.body ? (JSON.parse(String(init.body)) as Subscription) : undefined;
    this.told.push(`${init.method} ${path}${body ? ` ${body.endpoint}` : ''}`);
    return new Response(null, { status: 204 });
  });
}

function phone() {
  const home = new Home();
  const push = new Push();
  return { home, push, notices: new Notices(home.server, push, new Marks()) };
}

const PUT = 'PUT /api/v1/channels/push https://push.example/';

describe('allowing notices', () => {
  test('asks, subscribes with the server’s key and tells the server', async () => {
    const { home, push, notices } = phone();
    expect(await notices.allow('key-1')).toBe('granted');
    expect(push.now?.key).toBe('key-1');
    expect(home.told).toEqual([`${PUT}1`]);
    expect(notices.wanted).toBe(true);
  });

  test('a no stays a no: nothing is subscribed, nothing told', async () => {
    const { home, push, notices } = phone();
    push.answer = 'denied';
    expect(await notices.allow('key-1')).toBe('denied');
    expect([push.made, home.told, notices.wanted]).toEqual([0, [], false]);
  });

  test('without the server nothing is marked as allowed, and the next tap tries the same again', async () => {
    const { home, push, notices } = phone();
    home.reachable = false;
    await expect(notices.allow('key-1')).rejects.toThrow();
    expect(notices.wanted).toBe(false);
    home.reachable = true;
    await notices.allow('key-1');
    expect([push.made, home.told]).toEqual([1, [`${PUT}1`]]);
  });

  test('a subscription with another server’s key is replaced', async () => {
    const { home, push, notices } = phone();
    await push.subscribe('key-of-another');
    await notices.allow('key-1');
    expect([push.now?.key, home.told]).toEqual(['key-1', [`${PUT}2`]]);
  });

  test('stopping tells the server first, so that it is never left sending into the void', async () => {
    const { home, push, notices } = phone();
    await notices.allow('key-1');
    home.reachable = false;
    await expect(notices.stop()).rejects.toThrow();
    expect([notices.wanted, push.now !== undefined]).toEqual([true, true]);
    home.reachable = true;
    await notices.stop();
    expect([notices.wanted, push.now]).toEqual([false, undefined]);
    expect(home.told.at(-1)).toBe('DELETE /api/v1/channels/push');
  });
});

describe('keeping in step', () => {
  test('asks nobody and tells nothing where nobody allowed notices', async () => {
    const { home, push, notices } = phone();
    expect(await notices.mend('granted')).toBe(false);
    expect([push.asked, push.made, home.told]).toEqual([0, 0, []]);
  });

  test('as long as nothing changed the network is left alone', async () => {
    const { home, notices } = phone();
    await notices.allow('key-1');
    home.reachable = false;
    expect(await notices.mend('granted')).toBe(false);
  });

  test('a subscription that the browser lost or renewed is told without asking the person', async () => {
    const { home, push, notices } = phone();
    await notices.allow('key-1');
    push.now = undefined;
    expect(await notices.mend('granted')).toBe(true);
    await push.subscribe('key-1');
    expect(await notices.mend('granted')).toBe(true);
    expect([push.asked, home.told]).toEqual([1, [`${PUT}1`, `${PUT}2`, `${PUT}3`]]);
    expect(await notices.mend('denied')).toBe(false);
  });

  test('a phone that the server lost is told again; one that its service gave up subscribes anew', async () => {
    const { home, push, notices } = phone();
    await notices.allow('key-1');
    expect(await notices.mend('granted', await notices.channels())).toBe(true);
    expect(home.told).toEqual([`${PUT}1`, `${PUT}1`]);
    home.phones = [{ this_device: true, state: 'dead' }];
    expect(await notices.mend('granted', await notices.channels())).toBe(true);
    expect(home.told.at(-1)).toBe(`${PUT}2`);
    home.phones = [{ this_device: true, state: 'ok' }];
    const known: Channels = await notices.channels();
    expect(await notices.mend('granted', known)).toBe(false);
    expect(push.asked).toBe(1);
  });

  test('a server with a new key is subscribed to anew', async () => {
    const { home, push, notices } = phone();
    await notices.allow('key-1');
    home.phones = [{ this_device: true, state: 'failing' }];
    home.key = 'key-2';
    expect(await notices.mend('granted', await notices.channels())).toBe(true);
    expect([push.now?.key, home.told.at(-1)]).toEqual(['key-2', `${PUT}2`]);
  });
});

test('keys are written as addresses want them', () => {
  // RFC 4648, section 10 ("fooba") and section 5 (62 and 63 are - and _)
  expect(base64url(new TextEncoder().encode('fooba').buffer as ArrayBuffer)).toBe('Zm9vYmE');
  expect(base64url(new Uint8Array([0xfb, 0xff, 0xfe]).buffer)).toBe('-__-');
});
